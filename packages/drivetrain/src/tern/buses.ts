import type { SignalId } from '@syncline/drivelog';
import type { BusDialect, BusFrame, FrameSignal } from '../bus-dialect.js';

/** Where in a frame a signal lies, and how it is counted. */
interface Place {
  readonly startBit: number;
  readonly length: number;
  readonly byteOrder?: 'big';
  readonly signed?: true;
  readonly scale?: number;
  readonly offset?: number;
  readonly unit?: string;
  readonly perUnit?: number;
}

function at(signal: SignalId, name: string, place: Place): FrameSignal {
  const { byteOrder = 'little', signed = false, scale = 1, offset = 0, unit = '', perUnit = 1, ...bits } = place;
  return { signal, name, ...bits, byteOrder, signed, scale, offset, unit, perUnit };
}

/** What both buses carry beside the gearbox: engine, brakes, doors, dash. Nothing of it is read. */
const COMMON: readonly BusFrame[] = (
  [
    [0x0c6, 0.01, 8],
    [0x12a, 0.02, 8],
    [0x130, 0.02, 6],
    [0x1e5, 0.02, 8],
    [0x214, 0.05, 8],
    [0x21c, 0.05, 4],
    [0x288, 0.05, 8],
    [0x320, 0.1, 8],
    [0x34a, 0.1, 8],
    [0x352, 0.1, 2],
    [0x3b4, 0.1, 8],
    [0x410, 0.2, 8],
    [0x436, 0.2, 5],
    [0x4a2, 0.5, 8],
    [0x4d8, 0.5, 3],
    [0x520, 1, 8],
    [0x5f2, 1, 8],
  ] as const
).map(([identifier, periodS, length]) => ({ identifier, periodS, length, signals: [] }));

function frame(identifier: number, periodS: number, length: number, ...signals: FrameSignal[]): BusFrame {
  return { identifier, periodS, length, signals };
}

/** The bus of cars whose loggers write the Marram dialect. */
export const MARRAM_BUS: BusDialect = {
  id: 'marram',
  title: 'Marram bus',
  frames: [
    ...COMMON,
    frame(
      0x1a0,
      0.01,
      8,
      at('engineSpeed', 'engine_speed', { startBit: 0, length: 16, scale: 0.25, unit: 'rpm' }),
      at('inputSpeed', 'turbine_speed', { startBit: 16, length: 16, scale: 0.25, unit: 'rpm' }),
      at('outputSpeed', 'output_speed', { startBit: 32, length: 16, scale: 0.25, unit: 'rpm' }),
    ),
    frame(
      0x1a8,
      0.02,
      8,
      at('gear', 'gear', { startBit: 0, length: 4 }),
      at('gearTarget', 'gear_target', { startBit: 4, length: 4 }),
      at('program', 'program', { startBit: 8, length: 4 }),
      at('valveOn', 'valve_on', { startBit: 12, length: 1 }),
      at('applyPressure', 'apply_pressure', { startBit: 16, length: 12, scale: 1, unit: 'kPa' }),
      at('linePressure', 'line_pressure', { startBit: 32, length: 12, scale: 1, unit: 'kPa' }),
      at('converterDuty', 'lockup_duty', { startBit: 48, length: 8, scale: 0.5, unit: '%' }),
    ),
    frame(
      0x2c4,
      0.02,
      6,
      at('load', 'load', { startBit: 0, length: 12, signed: true, scale: 0.1, unit: '%' }),
      at('pedal', 'pedal', { startBit: 16, length: 8, scale: 0.5, unit: '%' }),
      at('brake', 'brake', { startBit: 24, length: 1 }),
    ),
    frame(0x4f0, 0.5, 4, at('fluidTemperature', 'fluid_temp', { startBit: 0, length: 8, offset: -40, unit: '°C' })),
    frame(0x3d2, 0.1, 8),
    frame(0x607, 1, 8),
  ],
};

/**
 * The bus of cars whose loggers write the Kelp dialect: most identifiers are the same, but the speeds lie elsewhere in
 * their frame, two frames come at another pace, one is shorter, and two are its own.
 */
export const KELP_BUS: BusDialect = {
  id: 'kelp',
  title: 'Kelp bus',
  frames: [
    ...COMMON,
    frame(
      0x1a0,
      0.01,
      8,
      at('outputSpeed', 'N_out', { startBit: 7, length: 16, byteOrder: 'big', scale: 0.125, unit: 'rpm' }),
      at('inputSpeed', 'N_in', { startBit: 23, length: 16, byteOrder: 'big', scale: 0.125, unit: 'rpm' }),
      at('engineSpeed', 'N_eng', { startBit: 39, length: 16, byteOrder: 'big', scale: 0.125, unit: 'rpm' }),
    ),
    frame(
      0x1a8,
      0.025,
      8,
      at('gearTarget', 'GearTarget', { startBit: 0, length: 4 }),
      at('gear', 'GearActual', { startBit: 4, length: 4 }),
      at('applyPressure', 'P_apply', {
        startBit: 23,
        length: 16,
        byteOrder: 'big',
        scale: 0.01,
        unit: 'bar',
        perUnit: 0.01,
      }),
      at('linePressure', 'P_line', {
        startBit: 39,
        length: 16,
        byteOrder: 'big',
        scale: 0.01,
        unit: 'bar',
        perUnit: 0.01,
      }),
      at('converterDuty', 'ConvDuty', { startBit: 48, length: 8, scale: 0.5, unit: '%' }),
    ),
    frame(
      0x2c4,
      0.02,
      5,
      at('load', 'EngLoad', { startBit: 0, length: 12, signed: true, scale: 0.1, unit: '%' }),
      at('pedal', 'AccPedal', { startBit: 16, length: 8, scale: 0.5, unit: '%' }),
      at('program', 'DriveProgram', { startBit: 24, length: 4 }),
    ),
    frame(
      0x4f0,
      0.2,
      4,
      at('fluidTemperature', 'T_fluid', { startBit: 0, length: 8, offset: -40, unit: '°C' }),
      at('supplyVoltage', 'U_supply', { startBit: 8, length: 12, scale: 0.01, unit: 'V' }),
    ),
    frame(0x3d6, 0.1, 8),
    frame(0x60b, 1, 8),
  ],
};

/** The buses that cars of the Tern have. */
export const TERN_BUSES: readonly BusDialect[] = [MARRAM_BUS, KELP_BUS];
