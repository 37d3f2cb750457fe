"""How answers are shown: text, JSON, CSV, HTML, PDF, calendar, charts."""
