import type { AxisSpec, Layout, OperatingQuantity, Platform, TableSpec } from '@syncline/calibration';

/** Ids of the tables and rules that the simulated control unit works by; a layout for it must have them all. */
export const RULES = { applyPressure: 'applyPressure', upshift: 'upshiftSpeed', downshift: 'downshiftSpeed' } as const;

/** Pressure that the return springs take, as the layout states it (kPa). */
export const RETURN_PRESSURE_KPA = 90;

const LOAD = axis('load', 'Load', '%', [0, 15, 30, 45, 60, 80, 100]);
const INPUT_SPEED = axis('inputSpeed', 'Input speed', 'rpm', [1000, 1600, 2200, 2900, 3700]);
const ENGINE_SPEED = axis('engineSpeed', 'Engine speed', 'rpm', [800, 1200, 1600, 2400, 3600]);
const TEMPERATURE = axis('fluidTemperature', 'Fluid temperature', '°C', [-20, 0, 20, 40, 60, 90, 115]);
const PEDAL = axis('pedal', 'Pedal', '%', [0, 15, 30, 50, 75, 90, 100]);
const PRESSURE = axis('pressure', 'Pressure', 'kPa', [0, 100, 250, 450, 700, 1000, 1400]);

/**
 * The layout of a shift calibration for any platform with one clutch exchanged for one: plain data, version 1. The
 * commanded pressure of a shift governs its on-coming clutch; in a downshift under power, its off-going one.
 */
export function makeShiftLayout(platform: Platform): Layout {
  return {
    platformId: platform.id,
    version: 1,
    title: `${platform.title}, shift calibration`,
    tables: [...pressureTables(), ...timingTables(), ...lockUpTables(), ...scheduleTables(), solenoidTable()],
    rules: [
      {
        id: RULES.applyPressure,
        title: 'Apply pressure',
        unit: 'kPa',
        kind: 'product',
        tables: ['basePressure', 'speedFactor', 'temperatureFactor', 'programFactor'],
        returnPressureKpa: RETURN_PRESSURE_KPA,
      },
      {
        id: RULES.upshift,
        title: 'Output speed to shift up at',
        unit: 'rpm',
        kind: 'product',
        tables: ['upshiftLine', 'scheduleFactor'],
      },
      {
        id: RULES.downshift,
        title: 'Output speed to shift down at',
        unit: 'rpm',
        kind: 'product',
        tables: ['downshiftLine', 'scheduleFactor'],
      },
    ],
  };
}

function pressureTables(): TableSpec[] {
  return [
    {
      ...table('basePressure', 'Base pressure', 'pressure', 'kPa'),
      repeat: 'shift',
      axes: [LOAD, INPUT_SPEED],
      storage: { type: 'u16', resolution: 1, offset: 0 },
      limits: { min: 60, max: 1400 },
      monotone: [{ axis: 0, direction: 'rising', strict: false }],
      slopeLimits: [{ axis: 0, maxPerUnit: 30 }],
      defaultValue: 300,
      note: 'Pressure in the inertia phase; includes what the return spring takes.',
    },
    {
      ...factor('speedFactor', 'Engine speed factor', { min: 0.8, max: 1.25 }),
      axes: [ENGINE_SPEED],
      note: 'Makes up for supply that is short at low pump speed.',
    },
    { ...factor('temperatureFactor', 'Fluid temperature factor', { min: 0.7, max: 1.4 }), axes: [TEMPERATURE] },
    {
      ...factor('programFactor', 'Program factor', { min: 0.7, max: 1.3 }),
      repeat: 'program',
      axes: [LOAD],
      note: 'Slower, softer shifts in the calm program, quicker ones in the brisk program.',
    },
    {
      ...table('pressureRamp', 'Pressure ramp', 'pressure rate', 'kPa/s'),
      repeat: 'shift',
      storage: { type: 'u16', resolution: 1, offset: 0 },
      limits: { min: 0, max: 600 },
      defaultValue: 100,
      note: 'Rise of the governing pressure from the end of the torque phase on; in a downshift under power, its fall.',
    },
  ];
}

function timingTables(): TableSpec[] {
  return [
    {
      ...table('fillTime', 'Fill time', 'time', 'ms'),
      repeat: 'clutch',
      axes: [TEMPERATURE],
      storage: { type: 'u16', resolution: 1, offset: 0 },
      limits: { min: 40, max: 900 },
      monotone: [{ axis: 0, direction: 'falling', strict: false }],
      defaultValue: 150,
    },
    {
      ...table('fillPressure', 'Fill pressure', 'pressure', 'kPa'),
      repeat: 'clutch',
      storage: { type: 'u16', resolution: 5, offset: 0 },
      limits: { min: 200, max: 900 },
      defaultValue: 450,
    },
    {
      ...table('releaseTime', 'Release time', 'time', 'ms'),
      repeat: 'shift',
      axes: [LOAD],
      storage: { type: 'u8', resolution: 2, offset: 0 },
      limits: { min: 40, max: 500 },
      defaultValue: 240,
      note: 'Time in which torque passes from the off-going to the on-coming clutch.',
    },
    {
      ...table('holdTorque', 'Hold torque', 'torque', 'N·m'),
      repeat: 'shift',
      axes: [LOAD],
      storage: { type: 'u16', resolution: 1, offset: 0 },
      limits: { min: 20, max: 1200 },
      monotone: [{ axis: 0, direction: 'rising', strict: false }],
      defaultValue: 300,
      note: 'What the off-going clutch is kept ready to hold until the release; more than the input torque.',
    },
  ];
}

function lockUpTables(): TableSpec[] {
  return [
    {
      ...table('lockUpOnSpeed', 'Lock-up from output speed', 'speed', 'rpm'),
      repeat: 'gear',
      axes: [PEDAL],
      storage: { type: 'u16', resolution: 1, offset: 0 },
      limits: { min: 0, max: 9000 },
      monotone: [{ axis: 0, direction: 'rising', strict: false }],
      defaultValue: 9000,
      note: '9000 rpm stands for never.',
    },
    {
      ...table('lockUpRamp', 'Lock-up duty ramp', 'duty rate', '%/s'),
      axes: [LOAD],
      storage: { type: 'u8', resolution: 1, offset: 0 },
      limits: { min: 5, max: 150 },
      defaultValue: 40,
      note: 'From 9 % on, until the clutch holds.',
    },
    {
      ...table('lockUpKeepLoad', 'Lock-up kept in shifts below load', 'load', '%'),
      storage: { type: 'u8', resolution: 1, offset: 0 },
      limits: { min: 0, max: 60 },
      defaultValue: 15,
    },
  ];
}

function scheduleTables(): TableSpec[] {
  const line = {
    axes: [PEDAL],
    storage: { type: 'u16', resolution: 1, offset: 0 },
    limits: { min: 0, max: 8000 },
    monotone: [{ axis: 0, direction: 'rising', strict: false }],
    defaultValue: 1500,
  } as const;
  return [
    { ...table('upshiftLine', 'Upshift line', 'speed', 'rpm'), repeat: 'upshift', ...line },
    {
      ...table('downshiftLine', 'Downshift line', 'speed', 'rpm'),
      repeat: 'downshift',
      ...line,
      note: '0 rpm stands for never at this pedal.',
    },
    { ...factor('scheduleFactor', 'Schedule factor', { min: 0.7, max: 1.3 }), repeat: 'program' },
  ];
}

function solenoidTable(): TableSpec {
  return {
    ...table('solenoidCurrent', 'Solenoid current', 'current', 'A'),
    axes: [{ ...PRESSURE, editable: false }],
    storage: { type: 'u16', resolution: 0.001, offset: 0 },
    limits: { min: 0, max: 1.1 },
    monotone: [{ axis: 0, direction: 'falling', strict: true }],
    defaultValue: 0.5,
    note: 'The valves act inversely: no current is full pressure.',
  };
}

type Common = Omit<TableSpec, 'note'> & { note?: string };

function table(id: string, title: string, quantity: string, unit: string): Common {
  return {
    id,
    title,
    quantity,
    unit,
    repeat: 'once',
    axes: [],
    storage: { type: 'f32', resolution: 1, offset: 0 },
    limits: { min: 0, max: 1 },
    monotone: [],
    slopeLimits: [],
    defaultValue: 0,
  };
}

function factor(id: string, title: string, limits: { min: number; max: number }): Common {
  return {
    ...table(id, title, 'factor', '1'),
    storage: { type: 'u16', resolution: 0.001, offset: 0 },
    limits,
    defaultValue: 1,
  };
}

function axis(quantity: OperatingQuantity, title: string, unit: string, breakpoints: number[]): AxisSpec {
  return { quantity, title, unit, breakpoints, editable: true };
}
