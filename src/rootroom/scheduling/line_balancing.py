"""Tasks with an order onto the fewest equal days: simple assembly line balancing, type 1.

A state is the set of tasks done in the first days, a bit a task; a step adds one more full day.
First a fast construction in both directions (T. R. Hoffmann, "Assembly line balancing with a
precedence matrix", Management Science 9, 1963, with weights like Sewell and Jacobson's), then
branch, bound and remember (E. C. Sewell, S. H. Jacobson, "A branch, bound, and remember algorithm
for the simple assembly line balancing problem", INFORMS Journal on Computing 24, 2012): always the
most promising state of each depth in turn, every state once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from heapq import heappop, heappush
from itertools import product

from attrs import frozen

from rootroom.scheduling.problem import in_order


@frozen
class Balanced:
    """Days by task, from 0; the bound on their number; whether the search came to its end."""

    days: tuple[int, ...]
    bound: int

    @property
    def count(self) -> int:
        """The number of days used."""
        return max(self.days, default=-1) + 1


class Line:
    """A balancing problem as bit masks, the tasks renumbered with the longest first."""

    def __init__(
        self, minutes: Sequence[int], before: Sequence[tuple[int, int]], capacity: int
    ) -> None:
        size = len(minutes)
        self.capacity = capacity
        below = _closure(size, before)
        weight = [minutes[t] + sum(minutes[s] for s in _bits(below[t])) for t in range(size)]
        self.names = sorted(range(size), key=lambda t: (-minutes[t], -weight[t], t))
        place = {name: at for at, name in enumerate(self.names)}
        self.minutes = [minutes[name] for name in self.names]
        pairs = [(place[a], place[b]) for a, b in before]
        self.after = _closure(size, pairs)
        self.prior = _closure(size, [(b, a) for a, b in pairs])
        self.direct: list[list[int]] = [[] for _ in range(size)]
        for a, b in sorted(set(pairs)):
            self.direct[a].append(b)
        self.size = size
        self.all = (1 << size) - 1
        self.total = sum(self.minutes)
        self.weights = [_weights(t, capacity) for t in self.minutes]
        self.better = [self._dominators(task) for task in range(size)]

    def _dominators(self, task: int) -> int:
        """Return the tasks that are never worse to do than this one, where both can be done."""
        mask = 0
        for other in range(self.size):
            if other == task or self.minutes[other] < self.minutes[task]:
                continue
            if self.after[task] & ~self.after[other] or self.prior[other] >> task & 1:
                continue
            same = (
                self.minutes[other] == self.minutes[task] and self.after[other] == self.after[task]
            )
            if not same or other < task:
                mask |= 1 << other
        return mask

    def bound(self, mask: int) -> int:
        """Return a bound on the days for these tasks, by sums and by how few long ones share."""
        tasks = _bits(mask)
        whole = sum(self.minutes[t] for t in tasks)
        halves = sum(self.weights[t][0] for t in tasks)
        thirds = sum(self.weights[t][1] for t in tasks)
        return max(-(-whole // self.capacity), -(-halves // 2), -(-thirds // 6))

    def tails(self) -> list[int]:
        """Return by task how many days lie at least between its own and the last.

        Followers in the order of their own tails, longest first, on one machine that does a day's
        work a day (Scholl and Becker, European Journal of Operational Research 168, 2006).
        """
        capacity = self.capacity
        tails = [0] * self.size  # minutes of work that surely follow, days rounded up
        days = [0] * self.size
        for task in self.downstream():
            spent = least = 0
            for follower in sorted(_bits(self.after[task]), key=lambda f: -tails[f]):
                spent += self.minutes[follower]
                least = max(least, spent + tails[follower])
            whole = -(-least // capacity) * capacity
            if self.minutes[task] + least > whole:
                least = whole  # the task does not fit in the day that its followers begin
            tails[task] = least
            days[task] = max(
                -(-(least + self.minutes[task]) // capacity) - 1,
                self.bound(self.after[task] | 1 << task) - 1,
            )
        return days

    def downstream(self) -> list[int]:
        """Return the tasks, followers first."""
        return sorted(range(self.size), key=lambda t: (self.after[t].bit_count(), t))


def _packing_bound(minutes: Sequence[int], capacity: int) -> int:
    """Return a bound on the days for tasks without order, by dual feasible functions.

    (S. P. Fekete, J. Schepers, "New classes of fast lower bounds for bin packing problems",
    Mathematical Programming 91, 2001: short tasks left out, long ones filling a day, the rest
    rounded to k-ths.)
    """
    best = -(-sum(minutes) // capacity)
    limits = sorted({0, *(t for t in minutes if 2 * t <= capacity)})
    for limit in limits:
        kept = [capacity if t > capacity - limit else t for t in minutes if t >= limit]
        best = max(best, -(-sum(kept) // capacity))
        for k in range(1, 21):
            total = sum(  # in capacity * k parts of a day
                k * t if (k + 1) * t % capacity == 0 else capacity * ((k + 1) * t // capacity)
                for t in kept
            )
            best = max(best, -(-total // (capacity * k)))
    return best


def _weights(minutes: int, capacity: int) -> tuple[int, int]:
    """Return the share of a day in halves and in sixths that a task takes, however days are cut."""
    halves = 2 if 2 * minutes > capacity else int(2 * minutes == capacity)
    if 3 * minutes > 2 * capacity:
        sixths = 6
    elif 3 * minutes == 2 * capacity:
        sixths = 4
    elif 3 * minutes > capacity:
        sixths = 3
    else:
        sixths = 2 * int(3 * minutes == capacity)
    return halves, sixths


def _closure(size: int, pairs: Sequence[tuple[int, int]]) -> list[int]:
    """Return by task the mask of all that follow it, directly or not."""
    direct: list[list[int]] = [[] for _ in range(size)]
    for a, b in pairs:
        direct[a].append(b)
    masks = [0] * size
    for task in reversed(in_order(size, pairs)):
        for follower in direct[task]:
            masks[task] |= masks[follower] | 1 << follower
    return masks


def _bits(mask: int) -> list[int]:
    found = []
    while mask:
        low = mask & -mask
        found.append(low.bit_length() - 1)
        mask ^= low
    return found


def _loads(line: Line, done: int, most_idle: int) -> Iterator[tuple[int, int]]:
    """Yield each full day's set of tasks after `done`, with the minutes left idle.

    Sets that another task would still fit in, that waste more than `most_idle`, or in which a task
    could be exchanged for a better one are left out.
    """
    minutes, prior = line.minutes, line.prior
    ready = [t for t in range(line.size) if not done >> t & 1 and not prior[t] & ~done]
    stack: list[tuple[int, int, int, tuple[int, ...]]] = [(0, line.capacity, 0, tuple(ready))]
    while stack:
        at, room, chosen, queue = stack.pop()
        while at < len(queue):
            task = queue[at]
            at += 1
            need = minutes[task]
            if need > room:
                continue
            now = done | chosen | 1 << task
            freed = [f for f in line.direct[task] if not prior[f] & ~now]
            stack.append((at, room, chosen, queue))  # the same without the task, for later
            chosen |= 1 << task
            room -= need
            if freed:
                queue = (*queue, *freed)
        if room > most_idle:
            continue
        spare = 0
        for task in queue:
            if not chosen >> task & 1:
                if minutes[task] <= room:
                    break
                spare |= 1 << task
        else:
            if not _exchangeable(line, chosen, spare, room):
                yield chosen, room


def _exchangeable(line: Line, chosen: int, spare: int, room: int) -> bool:
    """Whether a task of the day, with no follower in it, could give way to a better one."""
    rest = chosen
    while rest:
        low = rest & -rest
        rest ^= low
        task = low.bit_length() - 1
        others = line.better[task] & spare
        if others and not line.after[task] & chosen:
            limit = line.minutes[task] + room
            while others:
                bit = others & -others
                if line.minutes[bit.bit_length() - 1] <= limit:
                    return True
                others ^= bit
    return False


WEIGHTS = tuple(product((0.0, 0.005, 0.01), (0.0, 0.01, 0.02), (0.0, 0.02)))


def _construct(line: Line, weights: tuple[float, float, float], most: int) -> tuple[list[int], int]:
    """Return the days as masks, each the weightiest of the first `most` full days, and the work."""
    by_followers, by_number, by_task = weights
    gain = [
        line.minutes[t]
        + by_followers * sum(line.minutes[f] for f in _bits(line.after[t]))
        + by_number * line.capacity / 10 * line.after[t].bit_count()
        - by_task * line.capacity / 10
        for t in range(line.size)
    ]
    done, days, work = 0, [], 0
    while done != line.all:
        best, chosen = float("-inf"), 0
        for count, (load, _) in enumerate(_loads(line, done, line.capacity)):
            value = sum(gain[t] for t in _bits(load))
            if value > best:
                best, chosen = value, load
            work += 1
            if count >= most:
                break
        days.append(chosen)
        done |= chosen
    return days, work


class _Search:
    """Branch, bound and remember in one direction."""

    def __init__(self, line: Line, goal: int, most_loads: int) -> None:
        self.line = line
        self.goal = goal  # days to reach
        self.most_loads = most_loads
        self.complete = True
        self.work = 0
        self.turn = 0
        tails = line.tails()
        self.must = [0] * (goal + 1)  # by depth, what must be done then
        for task in range(line.size):
            last = goal - 1 - tails[task]
            if last < 0:
                self.must[0] = line.all
            for depth in range(max(last, 0) + 1, goal + 1):
                self.must[depth] |= 1 << task
        self.idle = goal * line.capacity - line.total
        self.heaps: list[list[tuple[float, int, int]]] = [[] for _ in range(goal + 1)]
        self.origin: dict[int, int] = {0: 0}  # state to the state before it
        self.depth: dict[int, int] = {0: 0}
        self.waiting = 0
        if self.idle >= 0 and self.must[0] != line.all:
            heappush(self.heaps[0], (0.0, 0, 0))
            self.waiting = 1

    def run(self, work: int, out_of_time: Callable[[], bool]) -> list[int] | None:
        """Return days as masks once found; None when the work or all states are used up."""
        stop = self.work + work
        while self.waiting and self.work < stop and not out_of_time():
            self.turn = (self.turn + 1) % self.goal if self.turn < self.goal else 0
            heap = self.heaps[self.turn]
            if not heap:
                continue
            _, used, state = heappop(heap)
            self.waiting -= 1
            if self.depth[state] < self.turn:
                continue
            found = self._extend(state, used, self.turn)
            if found is not None:
                return found
        return None

    def _extend(self, state: int, idle: int, depth: int) -> list[int] | None:
        line, goal = self.line, self.goal
        following = depth + 1
        must, remember = self.must[following], self.depth
        for count, (load, room) in enumerate(_loads(line, state, self.idle - idle)):
            self.work += 1
            if count >= self.most_loads:
                self.complete = False
                break
            now = state | load
            if must & ~now or remember.get(now, goal + 1) <= following:
                continue
            if now == line.all:
                self.origin[now] = state
                return self._days(now)
            if following >= goal or following + line.bound(line.all & ~now) > goal:
                continue
            remember[now] = following
            self.origin[now] = state
            spent = idle + room
            key = spent / following - 0.02 * line.capacity / 50 * (line.all & ~now).bit_count()
            heappush(self.heaps[following], (key, spent, now))
            self.waiting += 1
        self.work += 1
        return None

    def _days(self, state: int) -> list[int]:
        days = []
        while state:
            before = self.origin[state]
            days.append(state & ~before)
            state = before
        return days[::-1]


def balance(
    minutes: Sequence[int],
    before: Sequence[tuple[int, int]],
    capacity: int,
    *,
    work: int,
    out_of_time: Callable[[], bool] = lambda: False,
) -> Balanced:
    """Return a day for each task on few days, with a bound; `work` counts full days looked at.

    Raises ValueError for a task longer than a day and for orders that go round in a circle.
    """
    if any(task > capacity for task in minutes):
        raise ValueError(f"a task takes more than the {capacity} minutes of a day")
    if not minutes:
        return Balanced((), 0)
    backwards = [(after, first) for first, after in before]
    lines = (Line(minutes, before, capacity), Line(minutes, backwards, capacity))
    tails = (max(tail) + 1 for tail in map(Line.tails, lines))
    low = max(1, _packing_bound(minutes, capacity), *tails)  # work that takes no time takes a day
    best: list[int] | None = None
    reverse, searching = False, 3 * work // 4
    for most, weights, (way, line) in product((20, 500), WEIGHTS, enumerate(lines)):
        if best is not None and (len(best) <= low or work < searching or out_of_time()):
            break
        days, spent = _construct(line, weights, most)
        work -= spent
        if best is None or len(days) < len(best):
            best, reverse = days, bool(way)
    assert best is not None
    while len(best) > low and not out_of_time() and work > 0:
        goal = len(best) - 1
        found, proof, spent = _search_both(lines, goal, work, out_of_time)
        work -= spent
        if found is not None:
            reverse, best = found
        elif proof:
            low = goal + 1
        else:
            break
    days = best[::-1] if reverse else best
    day_of = {
        lines[reverse].names[task]: day for day, mask in enumerate(days) for task in _bits(mask)
    }
    return Balanced(tuple(day_of[task] for task in range(len(minutes))), low)


def _search_both(
    lines: tuple[Line, Line], goal: int, work: int, out_of_time: Callable[[], bool]
) -> tuple[tuple[bool, list[int]] | None, bool, int]:
    """Search for `goal` days from both ends in turn; return days, proof of none, work done."""
    spent = 0
    for most_loads in (200, 10**9):
        searches = [_Search(line, goal, most_loads) for line in lines]
        share = 2000
        while spent < work and not out_of_time():
            for way, search in enumerate(searches):
                before = search.work
                found = search.run(share, out_of_time)
                spent += search.work - before
                if found is not None:
                    return (bool(way), found), False, spent
                if not search.waiting and search.complete:
                    return None, True, spent
            if not any(search.waiting for search in searches):
                break
            share *= 2
    return None, False, spent
