import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  csvLogText,
  type DriveLog,
  KELP_DIALECT,
  type LogDialect,
  MARRAM_DIALECT,
  withColumns,
  writeCsvLog,
} from '../src/index.js';

const log: DriveLog = {
  timeS: Float64Array.of(0, 0.02, 0.041),
  signals: {
    inputSpeed: Float64Array.of(801, 1450, Number.NaN),
    applyPressure: Float64Array.of(0, 437, 1280),
    fluidTemperature: Float64Array.of(-4, 0, 81),
    load: Float64Array.of(-3.25, 0.04, 55.5),
  },
  gaps: [],
};

const onlyKnown = (dialect: LogDialect) =>
  withColumns(dialect, (column) => column.kind !== 'signal' || column.signal in log.signals);

describe('a log written as CSV', () => {
  it('has units in its header and plain decimals in the Marram dialect', () => {
    expect(csvLogText(log, onlyKnown(MARRAM_DIALECT))).toBe(
      [
        'time [s],turbine_speed [rpm],load [%],fluid_temp [°C],apply_pressure [kPa]',
        '0.000,801,-3.3,-4,0',
        '0.020,1450,0.0,0,437',
        '0.041,,55.5,81,1280',
        '',
      ].join('\n'),
    );
  });

  it('has a mark, comments, a row of units, dates and decimal commas in the Kelp dialect', () => {
    const text = csvLogText(log, onlyKnown(KELP_DIALECT), Date.UTC(2026, 2, 1, 9));
    expect(text).toBe(
      [
        '\uFEFF# Kelp logger',
        '# one line per sample',
        '"Count";"Timestamp";"N_in";"EngLoad";"T_fluid";"P_apply";"Remark"',
        '"[-]";"[ISO 8601]";"[1/min]";"[%]";"[°C]";"[bar]";"[-]"',
        '0;2026-03-01T09:00:00.000Z;801;-3,3;-4;0,00;',
        '1;2026-03-01T09:00:00.020Z;1450;0,0;0;4,37;',
        '2;2026-03-01T09:00:00.041Z;;55,5;81;12,80;',
        '',
      ].join('\r\n'),
    );
  });

  it('leaves fields empty for signals that the log lacks, and ends without a line end if the dialect does', () => {
    const text = csvLogText(log, { ...MARRAM_DIALECT, finalLineEnd: false });
    const lines = text.split('\n');
    expect(lines).toHaveLength(4);
    expect(lines[1]).toBe('0.000,,801,,,,-3.3,,,-4,,0,,,');
  });

  it('is the same text in chunks and in whole', () => {
    const long: DriveLog = {
      timeS: Float64Array.from({ length: 10_000 }, (_, i) => i / 100),
      signals: { inputSpeed: Float64Array.from({ length: 10_000 }, (_, i) => i) },
      gaps: [],
    };
    const chunks = [...writeCsvLog(long, MARRAM_DIALECT)];
    expect(chunks.length).toBeGreaterThan(3);
    expect(Buffer.concat(chunks).toString()).toBe(csvLogText(long, MARRAM_DIALECT));
  });

  it('writes every number as near as its decimals allow', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e6, max: 1e6, noNaN: true }),
        fc.integer({ min: 0, max: 4 }),
        (value, decimals) => {
          const columns = [
            { kind: 'signal', name: 'x', unit: '', signal: 'load', scale: 1, offset: 0, decimals },
          ] as const;
          const one = { timeS: Float64Array.of(0), signals: { load: Float64Array.of(value) }, gaps: [] };
          const field = csvLogText(one, { ...MARRAM_DIALECT, columns }).split('\n')[1];
          expect(field).toMatch(decimals === 0 ? /^-?\d+$/ : new RegExp(`^-?\\d+\\.\\d{${decimals}}$`));
          expect(Math.abs(Number(field) - value)).toBeLessThanOrEqual(0.5 * 10 ** -decimals * (1 + 1e-6));
        },
      ),
    );
  });
});
