import type { SignalId } from '@syncline/drivelog';
import type { LogColumn, LogDialect, SignalColumn } from '../dialect.js';

/** Loggers on the Marram bus: commas, seconds, units in the header, canonical units. */
export const MARRAM_DIALECT: LogDialect = {
  id: 'marram',
  title: 'Marram bus',
  delimiter: ',',
  decimalMark: '.',
  lineEnd: '\n',
  byteOrderMark: false,
  finalLineEnd: true,
  comments: [],
  units: 'header',
  quoted: false,
  columns: [
    { kind: 'time', name: 'time', unit: 's', format: 'seconds' },
    signal('engine_speed', 'rpm', 'engineSpeed', 0),
    signal('turbine_speed', 'rpm', 'inputSpeed', 0),
    signal('output_speed', 'rpm', 'outputSpeed', 0),
    signal('gear', '', 'gear', 0),
    signal('gear_target', '', 'gearTarget', 0),
    signal('load', '%', 'load', 1),
    signal('pedal', '%', 'pedal', 1),
    signal('brake', '', 'brake', 0),
    signal('fluid_temp', '°C', 'fluidTemperature', 0),
    signal('program', '', 'program', 0),
    signal('apply_pressure', 'kPa', 'applyPressure', 0),
    signal('line_pressure', 'kPa', 'linePressure', 0),
    signal('lockup_duty', '%', 'converterDuty', 1),
    signal('valve_on', '', 'valveOn', 0),
  ],
};

/** Loggers on the Kelp bus: semicolons, decimal comma, date and time, a row of units, bar instead of kPa, own names. */
export const KELP_DIALECT: LogDialect = {
  id: 'kelp',
  title: 'Kelp bus',
  delimiter: ';',
  decimalMark: ',',
  lineEnd: '\r\n',
  byteOrderMark: true,
  finalLineEnd: true,
  comments: ['# Kelp logger', '# one line per sample'],
  units: 'row',
  quoted: true,
  columns: [
    { kind: 'counter', name: 'Count', unit: '-' },
    { kind: 'time', name: 'Timestamp', unit: 'ISO 8601', format: 'iso' },
    signal('N_out', '1/min', 'outputSpeed', 0),
    signal('N_in', '1/min', 'inputSpeed', 0),
    signal('N_eng', '1/min', 'engineSpeed', 0),
    signal('GearTarget', '-', 'gearTarget', 0),
    signal('GearActual', '-', 'gear', 0),
    signal('EngLoad', '%', 'load', 1),
    signal('AccPedal', '%', 'pedal', 1),
    signal('T_fluid', '°C', 'fluidTemperature', 0),
    signal('P_apply', 'bar', 'applyPressure', 2, 0.01),
    signal('P_line', 'bar', 'linePressure', 2, 0.01),
    signal('ConvDuty', '%', 'converterDuty', 1),
    signal('U_supply', 'V', 'supplyVoltage', 2),
    signal('DriveProgram', '-', 'program', 0),
    { kind: 'empty', name: 'Remark', unit: '-' },
  ],
};

function signal(name: string, unit: string, id: SignalId, decimals: number, scale = 1): SignalColumn {
  return { kind: 'signal', name, unit, signal: id, scale, offset: 0, decimals };
}

/** A dialect of which only some columns are kept, in a given order: what simpler loggers write. */
export function withColumns(dialect: LogDialect, keep: (column: LogColumn) => boolean): LogDialect {
  return { ...dialect, columns: dialect.columns.filter(keep) };
}
