import { readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import type { Platform } from '@syncline/calibration';
import type { SignalBatch } from '@syncline/drivelog';
import { describe, expect, it } from 'vitest';
import { analyseDrive, median, type Shift } from '../src/index.js';
import { CAR, PLATFORM, without } from './drive-builder.js';
import { recordingPath } from './reference.js';

/** Rows of a comma-separated recording by column name; an empty field is NaN. */
function readColumns(text: string): (name: string) => Float64Array {
  const [header, ...rows] = text
    .trim()
    .split('\n')
    .map((line) => line.split(','));
  return (name) => {
    const column = (header as string[]).indexOf(name);
    return Float64Array.from(rows, (row) => (row[column] === '' ? Number.NaN : Number(row[column])));
  };
}

/** Output-shaft speed stands for wheel speed by a constant that cancels in every ratio (rpm per km/h). */
const OUTPUT_PER_KMH = 20;

function sixSpeedRecording(): SignalBatch {
  const column = readColumns(gunzipSync(readFileSync(recordingPath('rav4/rav4_decoded_turbine.csv.gz'))).toString());
  return {
    startIndex: 0,
    timeS: column('time_s'),
    signals: {
      engineSpeed: column('engine_rpm'),
      inputSpeed: column('turbine_rpm'),
      outputSpeed: column('wheel_mean_kmh').map((kmh) => OUTPUT_PER_KMH * kmh),
      gearTarget: column('gear_commanded'),
      pedal: column('pedal_pct'),
      inputTorque: column('engine_torque_nm'),
      fluidTemperature: column('atf_c'),
    },
  };
}

/** Ratios relative to the output speed, from the plateaus: the median in each commanded gear. */
function platformOf({ signals }: SignalBatch): Platform {
  const { inputSpeed, outputSpeed, gearTarget } = signals as Record<string, Float64Array>;
  const gears = [3, 4, 5, 6].map((gear) => {
    const ratios = (inputSpeed as Float64Array).map((rpm, i) =>
      gearTarget?.[i] === gear ? rpm / (outputSpeed?.[i] as number) : Number.NaN,
    );
    return { gear, ratio: median(ratios), applied: [] };
  });
  return { ...PLATFORM, gears };
}

describe('the recording of a six-speed automatic, about 31 Hz and irregular', () => {
  const batch = sixSpeedRecording();
  const setup = { platform: platformOf(batch), car: CAR };
  const truth = readFileSync(recordingPath('rav4/shift_truth_rav4.csv'), 'utf8');
  const truthColumn = readColumns(truth);
  const { shifts, lockUps, findings } = analyseDrive([batch], setup);
  const complete = shifts.filter((shift) => shift.outcome === 'complete');

  it('has plateaus in the stated proportion 1.42 : 1 : 0.713 : 0.608', () => {
    const { gears } = setup.platform;
    const fourth = gears[1]?.ratio as number;
    [1.42, 1, 0.713, 0.608].forEach((expected, i) => {
      expect(Math.abs((gears[i]?.ratio as number) / fourth - expected)).toBeLessThan(0.01);
    });
  });

  it('gives its seven complete shifts with the right gears, the skip shift as one, and the cut one labelled', () => {
    expect(shifts.map((shift) => `${shift.kind} ${shift.outcome}`)).toEqual([
      '3-4 complete',
      '4-5 complete',
      '5-6 complete',
      '6-4 complete',
      '4-5 complete',
      '5-4 complete',
      '4-5 complete',
      '5-4 cut',
    ]);
    expect(shifts.filter((shift) => shift.isSkip).map((shift) => shift.kind)).toEqual(['6-4']);
    expect(lockUps).toEqual([]);
  });

  it('has its commands where the gear field changed', () => {
    const commands = truthColumn('t_command_s');
    shifts.forEach((shift, i) => expect(Math.abs(shift.commandS - (commands[i] as number))).toBeLessThan(0.002));
  });

  it.each([
    ['10 %', 't_ratio10_s', (shift: Shift) => shift.ratio10S],
    ['90 %', 't_ratio90_s', (shift: Shift) => shift.ratio90S],
  ])('has the %s points of the ratio steps within 80 ms of the truth in the median', (_, name, timeOf) => {
    const times = truthColumn(name);
    const errors = complete.map((shift, i) => Math.abs((timeOf(shift) as number) - (times[i] as number)));
    expect(errors).toHaveLength(7);
    expect(median(errors)).toBeLessThan(0.08);
  });

  it('gives the same seven from the speeds alone, none invented from converter slip or lock-up', () => {
    const bare = without(batch, 'gearTarget', 'pedal', 'inputTorque');
    const found = analyseDrive([bare], setup).shifts;
    expect(found.map((shift) => `${shift.kind} ${shift.outcome}`)).toEqual(
      complete.map((shift) => `${shift.kind} complete`),
    );
  });

  it('is told as it is: a minute without gaps, with the fluid temperature missing at first only', () => {
    expect(findings).toMatchObject({ gaps: 0, repeatedTimes: 0, stepsBack: 0, tooSlowForTiming: false });
    expect(Math.abs(findings.durationS - 60)).toBeLessThan(0.2);
    expect(Math.abs(1 / findings.medianIntervalS - 31)).toBeLessThan(1);
    expect(findings.missingSignals).not.toContain('fluidTemperature');
  });
});

describe('the recording of two-second means', () => {
  it('is refused for timing, with the reason', () => {
    const text = gunzipSync(readFileSync(recordingPath('gm_global_a/CANLOG_000_nogps.csv.gz'))).toString();
    const rows = text
      .trim()
      .split('\n')
      .map((line) => line.split(','));
    const header = rows[0] as string[];
    const column = (name: string): Float64Array =>
      Float64Array.from(rows.slice(1), (row) => Number.parseFloat(row[header.indexOf(name)] ?? ''));
    const timeS = Float64Array.from(rows.slice(1), ([clock]) => {
      const [hours, minutes, seconds] = (clock as string).split(':').map(Number) as [number, number, number];
      return 3600 * hours + 60 * minutes + seconds;
    });
    const speed = column('vehicle_average_speed_soruce');
    const signals = {
      engineSpeed: column('engine_speed'),
      inputSpeed: column('engine_speed'),
      outputSpeed: speed.map((value) => 30 * value),
      gear: column('transmission_estimated_gear'),
    };
    const { shifts, findings } = analyseDrive([{ startIndex: 0, timeS, signals }], { platform: PLATFORM, car: CAR });
    expect(shifts).toEqual([]);
    expect(findings.tooSlowForTiming).toBe(true);
    expect(findings.medianIntervalS).toBeCloseTo(2, 1);
    expect(findings.sampleCount).toBe(timeS.length);
  });
});
