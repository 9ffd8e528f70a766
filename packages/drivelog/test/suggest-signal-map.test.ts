import { expect, it } from 'vitest';
import { checkSignalMap, inspectLog, type SignalId, suggestSignalMap } from '../src/index.js';
import { bytesOf } from './read-log.js';

/** Suggests for a log whose other columns are time and one that no signal fits. */
function suggestFor(...names: string[]) {
  const header = ['time [s]', 'nothing known', ...names].join(';');
  const rows = [0, 1, 2].map((t) => [t, 1, ...names.map(() => 3)].join(';'));
  const inspection = inspectLog(bytesOf([header, ...rows, ''].join('\n')));
  return { inspection, suggestion: suggestSignalMap(inspection) };
}

/** Names as loggers write them: English, German, abbreviated (usual words of the trade, from memory). */
it.each<[SignalId, string[]]>([
  [
    'engineSpeed',
    ['Engine speed [rpm]', 'engine_rpm', 'EngineSpeed', 'Motordrehzahl', 'n_mot', 'nMot', 'Eng RPM', 'Engine Spd'],
  ],
  [
    'inputSpeed',
    [
      'turbine_rpm',
      'Turbine speed',
      'n_in',
      'nIn',
      'NT',
      'Input shaft speed',
      'ISS',
      'Turbinendrehzahl [1/min]',
      'Eingangsdrehzahl',
      'N_TURB',
      'Getriebeeingangsdrehzahl',
    ],
  ],
  [
    'outputSpeed',
    [
      'output shaft rpm',
      'n_out',
      'OSS',
      'Output_Speed',
      'Abtriebsdrehzahl',
      'nAb',
      'Ausgangsdrehzahl',
      'vehicle_speed_kmh',
      'Fahrzeuggeschwindigkeit [km/h]',
      'wheel_mean_kmh',
      'VSS',
    ],
  ],
  [
    'gear',
    ['gear', 'Gear', 'current gear', 'actual_gear', 'Gang', 'Ist-Gang', 'Gear position', 'transmission_estimated_gear'],
  ],
  [
    'gearTarget',
    ['target gear', 'gear_commanded', 'GearTarget', 'desired gear', 'Zielgang', 'Sollgang', 'requested_gear'],
  ],
  ['load', ['engine load [%]', 'Load', 'Motorlast', 'Last [%]', 'calc_load_pct']],
  ['inputTorque', ['input torque [Nm]', 'turbine_torque_nm', 'engine torque', 'Motormoment', 'Eingangsmoment']],
  [
    'pedal',
    [
      'pedal_pct',
      'Accelerator pedal',
      'Fahrpedal [%]',
      'Gaspedalstellung',
      'throttle position',
      'accelerator_actual_position',
    ],
  ],
  ['brake', ['brake switch', 'Brake', 'Bremse', 'BLS', 'brake_pedal']],
  [
    'fluidTemperature',
    [
      'ATF [°C]',
      'atf_c',
      'ATF temp',
      'Trans fluid temp',
      'trans_oil_temp',
      'Öltemperatur [°C]',
      'Getriebeöltemperatur',
      'TFT',
      't_oil',
      'T_fluid',
      'T gearbox',
    ],
  ],
  ['program', ['program', 'Fahrprogramm', 'shift mode', 'drive_mode']],
  [
    'applyPressure',
    ['apply pressure [kPa]', 'clutch pressure [bar]', 'Kupplungsdruck', 'p_apply', 'commanded pressure'],
  ],
  ['linePressure', ['line pressure [kPa]', 'Line_Pressure', 'main pressure', 'Hauptdruck [bar]', 'p_line']],
  [
    'converterDuty',
    ['TCC duty [%]', 'lockup duty', 'converter clutch PWM', 'tcc_duty_cycle', 'ConvDuty', 'WK Tastverhältnis'],
  ],
  ['supplyVoltage', ['supply voltage [V]', 'battery voltage', 'Ubat', 'Batteriespannung', 'vbat', 'Bordnetzspannung']],
  ['valveOn', ['shift valve on', 'solenoid active', 'Magnetventil', 'valve_state']],
  ['mark', ['mark', 'Marker', 'event button', 'Taste']],
])('%s is recognised by its usual names', (signal, names) => {
  const found = names.map((name) => suggestFor(name).suggestion.signals.map((entry) => [entry.signal, entry.column]));
  expect(found).toEqual(names.map((name) => [[signal, name]]));
});

it.each([
  'coolant temperature [°C]',
  'engine oil temp [°C]',
  'target idle speed',
  'brake pressure [bar]',
  'gear ratio',
  'shift time [ms]',
  'steering wheel angle',
  'boost pressure [kPa]',
  'gear_shift_direction',
  'turbine speed valid',
  'lateral acceleration',
  'rail pressure [bar]',
])('“%s” is taken for nothing', (name) => {
  const { suggestion } = suggestFor(name);
  expect(suggestion.signals).toEqual([]);
  expect(suggestion.unmappedColumns).toContain(name);
});

it('a unit of another quantity rules a name out', () => {
  expect(suggestFor('turbine [°C]', 'gear [rpm]').suggestion.signals).toEqual([]);
});

it('shaft speed is preferred to wheel speed and that to road speed', () => {
  const road = 'vehicle speed [km/h]';
  const wheel = 'wheel speed [km/h]';
  const shaft = 'output shaft [rpm]';
  const columnFor = (...names: string[]) => suggestFor(...names).suggestion.signals[0]?.column;
  expect(columnFor(road, wheel, shaft)).toBe(shaft);
  expect(columnFor(road, wheel)).toBe(wheel);
});

it('a missing unit is assumed, said and lowers the confidence', () => {
  const { suggestion } = suggestFor('turbine speed');
  expect(suggestion.reasons).toMatchObject([{ confidence: 'medium', reason: expect.stringContaining('rpm assumed') }]);
  expect(suggestFor('turbine speed [rpm]').suggestion.reasons).toMatchObject([{ confidence: 'high' }]);
});

it('what is missing and what is left over is said', () => {
  const { suggestion } = suggestFor('turbine [rpm]', 'radio volume');
  expect(suggestion.missingSignals).toEqual(['outputSpeed']);
  expect(suggestion.unmappedColumns).toEqual(['nothing known', 'radio volume']);
});

it('each column serves one signal, each signal has one column, and the suggestion fits its file', () => {
  const { inspection, suggestion } = suggestFor(
    'turbine rpm',
    'input rpm',
    'gear',
    'target gear',
    'n out',
    'load',
    'pedal',
  );
  const columns = suggestion.signals.map((entry) => entry.column);
  expect(new Set(columns).size).toBe(columns.length);
  expect(suggestion.map && checkSignalMap(suggestion.map, inspection)).toEqual([]);
});

it('without a time column there is no map, but signals are suggested all the same', () => {
  const inspection = inspectLog(bytesOf('turbine rpm,output rpm\n1000,500\n900,500\n950,500\n'));
  expect(suggestSignalMap(inspection)).toMatchObject({
    map: null,
    signals: [{ signal: 'inputSpeed' }, { signal: 'outputSpeed' }],
  });
});
