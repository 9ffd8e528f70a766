import type { Band, OutcomeMeasure } from '@syncline/contract';
import type { ShiftsSearch } from '../shifts/shifts-search.js';

/** What the Fleet page shows, with every default filled in. */
export interface FleetView {
  readonly platform: string;
  readonly measure: OutcomeMeasure;
  readonly revision: string | undefined;
  readonly program: string | undefined;
  readonly fluidTemperatureBand: number | undefined;
}

/** The order of the shift list that brings the worst shifts of a measure to the top. */
export const SORT_OF_MEASURE = {
  flare: 'flareRpm',
  'tie-up': 'tieUpDepth',
  harsh: 'peakJerk',
  slow: 'inertiaTimeS',
} as const satisfies Record<OutcomeMeasure, string>;

interface Corner {
  readonly kind?: string;
  readonly load?: Band | undefined;
  readonly fluidTemperature?: Band | undefined;
}

/** Search of the Shifts page that lists the shifts behind a figure of the Fleet page. */
export function shiftsBehind(view: FleetView, { kind, load, fluidTemperature }: Corner): ShiftsSearch {
  return {
    platform: view.platform,
    revision: view.revision,
    program: view.program,
    kind,
    loadMin: load?.low ?? undefined,
    loadMax: load?.high ?? undefined,
    fluidTemperatureMin: fluidTemperature?.low ?? undefined,
    fluidTemperatureMax: fluidTemperature?.high ?? undefined,
    sort: SORT_OF_MEASURE[view.measure],
  };
}
