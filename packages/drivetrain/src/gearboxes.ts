import { type Gearbox, makeGearbox } from './gearbox.js';
import { EIGHT_SPEED_CHART, EIGHT_SPEED_GEARSET, FIVE_SPEED_CHART, FIVE_SPEED_GEARSET } from './gearsets.js';
import { RETURN_PRESSURE_KPA } from './shift-layout.js';

const PROGRAMS = [
  { id: 'calm', title: 'Calm', code: 1 },
  { id: 'normal', title: 'Normal', code: 2 },
  { id: 'brisk', title: 'Brisk', code: 3 },
];

/** A second invented gearbox: five speeds, for what must hold beyond the Tern. */
export const PLOVER_GEARBOX: Gearbox = makeGearbox({
  id: 'plover-5',
  title: 'Plover five-speed',
  gearset: FIVE_SPEED_GEARSET,
  chart: FIVE_SPEED_CHART,
  clutches: [
    hardware('A', 0.95, 0.15),
    hardware('B', 0.3, 0.14),
    hardware('C', 0.48, 0.12),
    hardware('D', 1.5, 0.16),
    hardware('E', 0.95, 0.13),
  ],
  skipShifts: [],
  programs: PROGRAMS,
  dialects: [{ id: 'plain', title: 'Plain bus' }],
  ratedInputTorqueNm: 360,
  inputInertiaKgM2: 0.2,
});

/** A third invented gearbox: eight speeds. */
export const CURLEW_GEARBOX: Gearbox = makeGearbox({
  id: 'curlew-8',
  title: 'Curlew eight-speed',
  gearset: EIGHT_SPEED_GEARSET,
  chart: EIGHT_SPEED_CHART,
  clutches: [
    hardware('A', 1.3, 0.15),
    hardware('B', 0.42, 0.14),
    hardware('C', 0.62, 0.12),
    hardware('D', 2.1, 0.16),
    hardware('E', 0.52, 0.13),
    hardware('F', 0.33, 0.13),
  ],
  skipShifts: ['4-2', '5-3', '6-4', '7-5'],
  programs: PROGRAMS,
  dialects: [{ id: 'plain', title: 'Plain bus' }],
  ratedInputTorqueNm: 420,
  inputInertiaKgM2: 0.2,
});

function hardware(id: string, gainNmPerKpa: number, fillTimeS: number) {
  return { id, title: `Clutch ${id}`, gainNmPerKpa, fillTimeS, returnPressureKpa: RETURN_PRESSURE_KPA };
}
