/** A signal that a drive log can hold, and the units that a column of it may be in, the usual one first. */
export interface SignalTerm {
  readonly id: string;
  readonly title: string;
  readonly units: readonly string[];
  readonly hint: string;
  readonly isNeeded: boolean;
}

const ROTATION = ['rpm', 'rad/s', 'Hz'];
const ROAD_SPEED = ['km/h', 'm/s', 'mph'];
const SHARE = ['%', 'ratio'];
const PRESSURE = ['kPa', 'bar', 'mbar', 'MPa', 'Pa', 'psi'];
const STATE = [''];

function term(id: string, title: string, units: readonly string[], hint: string, isNeeded = false): SignalTerm {
  return { id, title, units, hint, isNeeded };
}

/** The canonical signals in the order in which they matter to grading. */
export const SIGNAL_TERMS: readonly SignalTerm[] = [
  term('inputSpeed', 'Input speed', ROTATION, 'Gearbox input shaft, after the converter. Needed.', true),
  term(
    'outputSpeed',
    'Output speed',
    [...ROTATION, ...ROAD_SPEED],
    'Gearbox output shaft; a road speed is converted. Needed.',
    true,
  ),
  term('engineSpeed', 'Engine speed', ROTATION, 'Before the converter; used for lock-up.'),
  term('gear', 'Gear', STATE, 'The gear that the control unit reports.'),
  term('gearTarget', 'Target gear', STATE, 'The commanded gear: gives the moment of command.'),
  term('load', 'Load', SHARE, 'Engine torque as a share of rated torque.'),
  term('inputTorque', 'Input torque', ['N·m', 'ft·lb'], 'Torque into the gearbox.'),
  term('pedal', 'Pedal', SHARE, 'Accelerator position.'),
  term('brake', 'Brake', STATE, '1 while the brake is pressed.'),
  term('fluidTemperature', 'Fluid temperature', ['°C', 'K', '°F'], 'Temperature of the gearbox fluid.'),
  term('program', 'Program', STATE, 'Code of the driving program.'),
  term('applyPressure', 'Apply pressure', PRESSURE, 'Commanded pressure of the oncoming clutch.'),
  term('linePressure', 'Line pressure', PRESSURE, 'Pressure of the main line.'),
  term('converterDuty', 'Converter duty', SHARE, 'Duty of the lock-up solenoid.'),
  term('supplyVoltage', 'Supply voltage', ['V', 'mV'], 'Voltage at the control unit.'),
  term('valveOn', 'Shift valve on', STATE, '1 while the shift valve is energised.'),
  term('mark', 'Mark', STATE, 'Presses of a marker button.'),
];
