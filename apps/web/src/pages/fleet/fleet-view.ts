import type { Band, OutcomeMeasure, ShiftRow } from '@syncline/contract';
import type { FleetFilter } from '../../api/fleet.js';
import { type FleetMeasure, isSpreadMeasure, RATE_BESIDE } from '../../format/measured.js';
import type { ShiftsSearch } from '../shifts/shifts-search.js';
import type { FleetSearch } from './fleet-search.js';

/** What the Fleet page shows, with every default filled in. */
export interface FleetView extends FleetFilter {
  readonly measure: FleetMeasure;
}

/** The view that an address asks for. Programs are not told apart in spreads, so that filter rests while one is shown. */
export function toView(search: FleetSearch, platform: string): FleetView {
  const { measure = 'flare', revision, program, fluid, dialect, engine } = search;
  return {
    platform,
    measure,
    revision,
    program: isSpreadMeasure(measure) ? undefined : program,
    fluidTemperatureBand: fluid,
    dialect,
    engine,
  };
}

/** The filters alone, without what is measured. */
export function filterOf(view: FleetView): FleetFilter {
  const { platform, revision, program, fluidTemperatureBand, dialect, engine } = view;
  return { platform, revision, program, fluidTemperatureBand, dialect, engine };
}

/** The rate that is shown: the one chosen, or the one that a chosen quantity leads to. */
export function rateMeasure({ measure }: Pick<FleetView, 'measure'>): OutcomeMeasure {
  return isSpreadMeasure(measure) ? RATE_BESIDE[measure] : measure;
}

/** The order of the shift list that brings the worst shifts of a measure to the top. */
export const SORT_OF_MEASURE = {
  flare: 'flareRpm',
  'tie-up': 'tieUpDepth',
  harsh: 'peakJerk',
  slow: 'inertiaTimeS',
} as const satisfies Record<OutcomeMeasure, string>;

interface Corner {
  readonly kind?: string | undefined;
  readonly load?: Band | undefined;
  readonly fluidTemperature?: Band | undefined;
  readonly revision?: string | undefined;
  readonly vehicle?: string | undefined;
  /** Only the shifts with this grade. */
  readonly grade?: ShiftRow['grades'][number] | undefined;
}

/** Search of the Shifts page that lists the shifts behind a figure of the Fleet page. */
export function shiftsBehind(view: FleetView, corner: Corner): ShiftsSearch {
  const { kind, load, fluidTemperature, vehicle, grade } = corner;
  return {
    platform: view.platform,
    revision: corner.revision ?? view.revision,
    vehicle,
    program: view.program,
    dialect: view.dialect,
    engine: view.engine,
    kind,
    grade,
    loadMin: load?.low ?? undefined,
    loadMax: load?.high ?? undefined,
    fluidTemperatureMin: fluidTemperature?.low ?? undefined,
    fluidTemperatureMax: fluidTemperature?.high ?? undefined,
    sort: SORT_OF_MEASURE[rateMeasure(view)],
    quantity: isSpreadMeasure(view.measure) ? view.measure : undefined,
  };
}
