import type { Layout, Platform } from '@syncline/calibration';
import { type Gearbox, makeGearbox } from '../gearbox.js';
import { SIX_SPEED_CHART, SIX_SPEED_GEARSET } from '../gearsets.js';
import { makeShiftLayout, RETURN_PRESSURE_KPA } from '../shift-layout.js';

/** The invented six-speed gearbox of the demo, with the hardware that a simulator needs. */
export const TERN_GEARBOX: Gearbox = makeGearbox({
  id: 'tern-6',
  title: 'Tern six-speed',
  gearset: SIX_SPEED_GEARSET,
  chart: SIX_SPEED_CHART,
  clutches: [
    clutch('A', 'Clutch A, reduced speed to small sun', 1.05, 0.15),
    clutch('B', 'Clutch B, reduced speed to large sun', 0.36, 0.14),
    clutch('C', 'Brake C, large sun', 0.52, 0.12),
    clutch('D', 'Brake D, rear carrier', 1.9, 0.16),
    clutch('E', 'Clutch E, input to rear carrier', 0.5, 0.13),
  ],
  skipShifts: ['4-2', '5-3', '6-4'],
  programs: [
    { id: 'calm', title: 'Calm', code: 1 },
    { id: 'normal', title: 'Normal', code: 2 },
    { id: 'brisk', title: 'Brisk', code: 3 },
  ],
  dialects: [
    { id: 'marram', title: 'Marram bus' },
    { id: 'kelp', title: 'Kelp bus' },
  ],
  ratedInputTorqueNm: 400,
  inputInertiaKgM2: 0.2,
});

/** What calibrations, logs and shifts of the Tern refer to. */
export const TERN_PLATFORM: Platform = TERN_GEARBOX.platform;

/** Layout version 1 of the Tern. */
export const TERN_LAYOUT: Layout = makeShiftLayout(TERN_PLATFORM);

function clutch(id: string, title: string, gainNmPerKpa: number, fillTimeS: number) {
  return { id, title, gainNmPerKpa, fillTimeS, returnPressureKpa: RETURN_PRESSURE_KPA };
}
