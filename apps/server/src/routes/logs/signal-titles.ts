import { type SignalId, unitsForSignal } from '@syncline/drivelog';

const TITLES: Readonly<Record<SignalId, string>> = {
  engineSpeed: 'Engine speed',
  inputSpeed: 'Input speed',
  outputSpeed: 'Output speed',
  gear: 'Gear',
  gearTarget: 'Target gear',
  load: 'Load',
  inputTorque: 'Input torque',
  pedal: 'Pedal',
  brake: 'Brake',
  fluidTemperature: 'Fluid temperature',
  program: 'Program',
  applyPressure: 'Apply pressure, commanded',
  linePressure: 'Line pressure',
  converterDuty: 'Converter duty',
  supplyVoltage: 'Supply voltage',
  valveOn: 'Shift valve on',
  mark: 'Mark',
};

/** What a signal is called on pages and in downloads, with its canonical unit; empty for states and counts. */
export function describeSignal(signal: SignalId): { signal: SignalId; title: string; unit: string } {
  return { signal, title: TITLES[signal], unit: unitsForSignal(signal)[0] };
}
