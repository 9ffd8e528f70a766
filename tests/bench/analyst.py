"""The whole job of one log as an analyst would write it with pandas, NumPy and SciPy: read the CSV, find the shifts by
the ratio of the speeds, measure and grade them, write them to SQLite. The yardstick of one-log.ts, which hands over the
setup; it reports its times, its peak memory and the shifts that it found as JSON.

    python3 analyst.py drive.csv setup.json shifts.sqlite
    python3 analyst.py drive.csv                            # reads the CSV only
"""

import json
import resource
import sqlite3
import sys
import time

import numpy as np
import pandas as pd
from scipy.signal import savgol_filter

TIME, ENGINE, INPUT, OUTPUT = "time [s]", "engine_speed [rpm]", "turbine_speed [rpm]", "output_speed [rpm]"
TARGET, LOAD, PROGRAM = "gear_target", "load [%]", "program"
CONDITIONS = {"engine_rpm": ENGINE, "pedal": "pedal [%]", "temperature": "fluid_temp [°C]", "pressure": "apply_pressure [kPa]"}

DWELL_S = 0.08          # in gear: so long within the tolerance
LONG_DWELL_S = 0.25     # a visit so long is a gear whatever its drift
LONGEST_DELAY_S = 2.5   # an older command is a pre-selection
STANDSTILL_S = 0.5      # so long without a readable ratio ends a gear
JERK_SCALE = 15.625 / 5.385
JERK_GAIN, ACCELERATION_GAIN, HIGHEST_OF_NOISE = 329.4, 34.39, 2.5


def robust_deviation(values):
    return 1.4826022185056018 * np.median(np.abs(values - np.median(values)))


class Drive:
    """Columns of the drive, smoothed as wholes, and the nearest synchronous line of each sample."""

    def __init__(self, frame, setup):
        self.setup = setup
        self.ratios = np.array(setup["ratios"])
        self.gears = np.array(setup["gears"])
        spacing = np.abs(self.ratios[:, None] - self.ratios[None, :])
        np.fill_diagonal(spacing, np.inf)
        self.spacings = np.minimum(spacing.min(axis=1), self.ratios)
        self.t = frame[TIME].to_numpy(dtype=float)
        self.t = self.t - self.t[0]
        self.n_in = frame[INPUT].to_numpy(dtype=float)
        self.n_out = frame[OUTPUT].to_numpy(dtype=float)
        self.target = frame[TARGET].to_numpy()
        self.load = frame[LOAD].to_numpy(dtype=float)
        self.program = frame[PROGRAM].to_numpy()
        self.others = {name: frame[column].to_numpy(dtype=float) for name, column in CONDITIONS.items()}
        self.dt = float(np.median(np.diff(self.t)))
        self.smooth_in = savgol_filter(self.n_in, 7, 2)
        self.slope_in = savgol_filter(self.n_in, 7, 2, deriv=1, delta=self.dt)
        self.smooth_out = savgol_filter(self.n_out, 15, 2)
        self.slope_out = savgol_filter(self.n_out, 15, 2, deriv=1, delta=self.dt)
        scale = np.pi / 30 * setup["tyreRadiusM"] / setup["finalDriveRatio"]
        self.acceleration = scale * savgol_filter(self.slope_out, 27, 2)
        self.jerk = JERK_SCALE * scale * np.abs(savgol_filter(self.slope_out, 27, 2, deriv=1, delta=self.dt))
        self.noise_scale = scale * np.sqrt(self.dt) * HIGHEST_OF_NOISE
        self.find_gears()

    def find_gears(self):
        """For each sample the nearest line, and whether it lies within its tolerance."""
        ratio = np.divide(self.n_in, self.n_out, out=np.full_like(self.n_in, np.inf), where=self.n_out > 0)
        order = np.argsort(self.ratios)
        edges = (self.ratios[order][1:] + self.ratios[order][:-1]) / 2
        line = order[np.searchsorted(edges, ratio)]
        departure = self.n_in - self.ratios[line] * self.n_out
        self.noise = np.zeros(len(self.ratios))
        for k in range(len(self.ratios)):
            near = departure[(line == k) & (np.abs(departure) <= 0.25 * self.spacings[k] * self.n_out)]
            self.noise[k] = robust_deviation(near) if len(near) else 0
        room = 0.3 * self.spacings[line] * self.n_out
        self.tolerance = np.maximum(25, np.maximum(0.015 * self.ratios[line] * self.n_out, 3 * self.noise[line]))
        self.tolerance = np.minimum(self.tolerance, np.maximum(25, room))
        self.readable = (self.n_out >= 120) & (room >= 25)
        self.departure = departure
        inside = self.readable & (np.abs(departure) <= self.tolerance)
        # A single stray sample does not end a visit.
        hole = ~inside[1:-1] & inside[:-2] & inside[2:] & (line[:-2] == line[2:]) & self.readable[1:-1]
        hole &= np.abs(departure[1:-1]) <= 2 * self.tolerance[1:-1]
        inside[1:-1] |= hole
        self.state = np.where(inside, line, -1).astype(np.int8)

    def visits(self):
        """Runs of samples on one line that last and do not sweep past it: line, first and last sample."""
        changes = np.flatnonzero(np.diff(self.state)) + 1
        starts = np.concatenate(([0], changes))
        ends = np.concatenate((changes, [len(self.state)])) - 1
        lines = self.state[starts]
        lasting = (lines >= 0) & (self.t[ends] - self.t[starts] >= DWELL_S - 1e-6)
        starts, ends, lines = starts[lasting], ends[lasting], lines[lasting]
        drift = np.abs(self.departure[ends] - self.departure[starts]) / np.maximum(self.t[ends] - self.t[starts], 1e-3)
        steady = (self.t[ends] - self.t[starts] >= LONG_DWELL_S) | (drift * DWELL_S <= 0.5 * self.tolerance[ends])
        return lines[steady], starts[steady], ends[steady]

    def changes(self):
        """Pairs of visits to different lines, one after the other without a standstill between."""
        lines, starts, ends = self.visits()
        unreadable = np.concatenate(([0.0], np.cumsum(np.where(self.readable[1:], 0, np.diff(self.t)))))
        pairs = np.flatnonzero(lines[1:] != lines[:-1])
        for i in pairs:
            left, entered = ends[i], starts[i + 1]
            if unreadable[entered] - unreadable[left] < STANDSTILL_S:
                yield int(lines[i]), int(lines[i + 1]), int(left), int(entered)


def by_load(table, load):
    return np.interp(load, table["load"], table["value"])


def crossing(t, values, i):
    """When values pass zero between samples i and i + 1."""
    return t[i] + values[i] / (values[i] - values[i + 1]) * (t[i + 1] - t[i])


def smooth_tolerance(drive, k, out):
    return np.maximum(25, np.maximum(0.015 * drive.ratios[k] * out, 1.8 * drive.noise[k]))


def command_of(drive, a, b, left, started_s):
    """The last change of the target away from the old gear before the speeds leave it; None when none is logged."""
    first = np.searchsorted(drive.t, drive.t[left] - LONGEST_DELAY_S)
    until = np.searchsorted(drive.t, started_s + 0.05, side="right")
    target = drive.target[first:until]
    steps = np.flatnonzero(np.diff(target)) + 1
    away = [i for i in steps if target[i - 1] == drive.gears[a]]
    to_new = [i for i in steps if target[i] == drive.gears[b]]
    found = away or to_new
    return first + found[-1] if found else None


def measure(drive, a, b, left, entered):
    """One change of gear, timed, measured and graded; None when it was none."""
    t, setup = drive.t, drive.setup
    up = b > a
    end = min(np.searchsorted(t, t[entered] + 0.6), len(t))
    start = max(0, np.searchsorted(t, t[left] - 1.8))
    span = slice(start, end)
    ts, out = t[span], drive.smooth_out[span]
    from_line = drive.smooth_in[span] - drive.ratios[a] * out
    to_line = drive.smooth_in[span] - drive.ratios[b] * out
    # Synchronised: where the unbroken stretch within the tolerance begins that holds the confirmed sample.
    beyond = np.abs(to_line) - smooth_tolerance(drive, b, out)
    held = np.searchsorted(ts, t[entered] + DWELL_S)
    outside = np.flatnonzero(beyond[: held + 1] > 0)
    if not len(outside) or held >= len(ts):
        return None
    sync_s = crossing(ts, beyond, outside[-1]) if outside[-1] < held else ts[held]
    sync = np.searchsorted(ts, sync_s)
    # Inertia phase: the last crossing of the old line's tolerance.
    leaving = (-from_line if up else from_line) - smooth_tolerance(drive, a, out)
    inside = np.flatnonzero(leaving[: sync + 1] <= 0)
    inertia_s = crossing(ts, leaving, inside[-1]) if len(inside) and inside[-1] < sync else None
    started_s = inertia_s if inertia_s is not None else t[left]
    command = command_of(drive, a, b, left, started_s)
    command_s = t[command] if command is not None else min(t[left], started_s)
    # Flare: beyond the old line before an upshift's inertia phase, beyond the new one in a downshift.
    line, ratio_line = (from_line, a) if up else (to_line, b)
    lo = np.searchsorted(ts, command_s if up else started_s)
    hi = np.searchsorted(ts, started_s if up else sync_s)
    flare_rpm = flare_ms = 0.0
    flare_s = None
    if hi > lo:
        peak = lo + int(np.argmax(line[lo:hi]))
        excess = line - smooth_tolerance(drive, ratio_line, out)
        if excess[peak] > 0:
            below = np.flatnonzero(excess[lo:peak] <= 0)
            above_from = lo + below[-1] if len(below) else lo
            after = np.flatnonzero(excess[peak:] <= 0)
            above_to = peak + after[0] if len(after) else len(ts) - 1
            flare_s = crossing(ts, excess, above_from) if len(below) else ts[lo]
            flare_rpm, flare_ms = float(line[peak]), 1000 * (crossing(ts, excess, above_to - 1) - flare_s)
    # Acceleration and jerk, what noise alone would read taken off.
    lead, tail = np.searchsorted(ts, command_s - 0.1), np.searchsorted(ts, sync_s + 0.3)
    acceleration = drive.acceleration[span]
    jerk = drive.jerk[span][lead:tail]
    noise = drive.noise_scale * robust_deviation(drive.n_out[span] - out) / np.sqrt(1 - 0.1511)
    without = lambda value, gain: float(np.sqrt(max(0.0, value**2 - (noise * gain) ** 2)))
    readable = noise * JERK_GAIN * JERK_SCALE < 12
    peak_jerk = without(jerk.max(), JERK_GAIN * JERK_SCALE) if readable and len(jerk) else None
    swing = without(np.ptp(acceleration[lead:tail]), ACCELERATION_GAIN) if tail > lead else None
    tie_up = None
    release_s = flare_s if up and flare_s is not None else inertia_s
    if up and command is not None and release_s is not None:
        before = acceleration[np.searchsorted(ts, command_s - 0.35) : np.searchsorted(ts, command_s - 0.05)]
        if len(before):
            mean = before.mean()
            explained = min(mean, drive.ratios[b] / drive.ratios[a] * mean)
            dip = explained - acceleration[np.searchsorted(ts, command_s) : np.searchsorted(ts, release_s)]
            tie_up = without(max(0.0, dip.max()), ACCELERATION_GAIN) if len(dip) else 0.0
    # Heat of the oncoming clutch.
    energy = None
    load = drive.load[span]
    if up and inertia_s is not None:
        phase = slice(np.searchsorted(ts, inertia_s), sync)
        torque = load[phase] / 100 * setup["ratedTorqueNm"]
        torque = torque - setup["inputInertiaKgM2"] * np.pi / 30 * drive.slope_in[span][phase]
        energy = float(np.trapz(torque * np.pi / 30 * to_line[phase], ts[phase]))
    at = slice(np.searchsorted(t, command_s - 0.2), np.searchsorted(t, command_s, side="right"))
    load_at = float(np.median(drive.load[at]))
    program = setup["programs"].get(str(int(np.median(drive.program[at]))))
    others = [float(np.median(values[at])) for values in drive.others.values()]
    inertia_time = sync_s - inertia_s if inertia_s is not None else None
    limits = setup["policy"]["programs"].get(program) or setup["policy"]["programs"]["default"]
    grades = []
    if flare_rpm >= limits["flareRpm"] and flare_ms >= limits["flareMs"]:
        grades.append("flare")
    if tie_up is not None and tie_up >= limits["tieUpDepth"]:
        grades.append("tie-up")
    if peak_jerk is not None and peak_jerk > by_load(limits["harshJerk"], load_at):
        grades.append("harsh")
    if inertia_time is not None and inertia_time > limits["slowFactor"] * by_load(limits["targetInertiaTimeS"], load_at):
        grades.append("slow")
    if sync_s - command_s > setup["policy"]["incompleteAfterS"]:
        grades.append("incomplete")
    return (
        int(drive.gears[a]), int(drive.gears[b]), command_s, inertia_s, sync_s, sync_s - command_s, inertia_time,
        flare_rpm, flare_ms, peak_jerk, swing, tie_up, energy, load_at, program, *others, " ".join(grades or ["clean"]),
    )


COLUMNS = (
    "from_gear, to_gear, command_s, inertia_s, sync_s, shift_time_s, inertia_time_s, flare_rpm, flare_ms, peak_jerk, "
    "swing, tie_up, slip_energy, load, program, engine_rpm, pedal, temperature, pressure, grades"
)


def store(path, rows):
    with sqlite3.connect(path) as database:
        database.execute("DROP TABLE IF EXISTS shifts")
        database.execute(f"CREATE TABLE shifts ({COLUMNS})")
        database.executemany(f"INSERT INTO shifts VALUES ({', '.join('?' * len(COLUMNS.split(',')))})", rows)
    database.close()


def main():
    path, *rest = sys.argv[1:]
    began, cpu_began = time.perf_counter(), time.process_time()
    frame = pd.read_csv(path)
    report = {"readS": time.perf_counter() - began, "readCpuS": time.process_time() - cpu_began, "rows": len(frame)}
    if rest:
        with open(rest[0], encoding="utf-8") as file:
            drive = Drive(frame, json.load(file))
        rows = [row for change in drive.changes() if (row := measure(drive, *change)) is not None]
        store(rest[1], rows)
    report["wholeS"] = time.perf_counter() - began
    report["cpuS"] = time.process_time() - cpu_began
    report["peakBytes"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    # Gears, command, inertia start, synchronisation and grades, to compare; no part of the job.
    report["shifts"] = [(*row[:5], row[-1]) for row in rows] if rest else []
    report["versions"] = f"Python {sys.version.split()[0]}, pandas {pd.__version__}, NumPy {np.__version__}"
    print(json.dumps(report))


main()
