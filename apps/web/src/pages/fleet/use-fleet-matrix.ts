import type { Band, SpreadMeasure } from '@syncline/contract';
import { keepPreviousData, type UseQueryResult, useQueries, useQuery } from '@tanstack/react-query';
import { type FleetFilter, fleetQueries, matrixCsvUrl, spreadCsvUrl } from '../../api/fleet.js';
import { isSpreadMeasure } from '../../format/measured.js';
import { type FleetView, filterOf, rateMeasure } from './fleet-view.js';
import { type FleetMatrix, rateMatrix, ratePanels, spreadMatrix, type TemperaturePanel } from './matrix-figure.js';

/** Programs are not told apart in spreads. */
export function spreadFilter(filter: FleetFilter, measure: SpreadMeasure) {
  return { ...filter, program: undefined, measure };
}

/** The matrix of the chosen measure, whichever kind it is. */
export function useFleetMatrix(view: FleetView): UseQueryResult<FleetMatrix> {
  const { measure } = view;
  const filter = filterOf(view);
  const isSpread = isSpreadMeasure(measure);
  const rates = useQuery({
    ...fleetQueries.matrix({ ...filter, measure: rateMeasure(view) }),
    enabled: !isSpread,
    select: rateMatrix,
  });
  const spreads = useQuery({
    ...fleetQueries.spread(spreadFilter(filter, isSpread ? measure : 'flareRpm')),
    enabled: isSpread,
    select: spreadMatrix,
  });
  return isSpread ? spreads : rates;
}

/** Address of the same matrix as CSV. */
export function fleetMatrixCsvUrl(view: FleetView): string {
  const { measure } = view;
  const filter = filterOf(view);
  return isSpreadMeasure(measure) ? spreadCsvUrl(spreadFilter(filter, measure)) : matrixCsvUrl({ ...filter, measure });
}

interface PanelsFound {
  readonly panels: readonly TemperaturePanel[] | undefined;
  readonly error: Error | null;
  readonly retry: () => void;
}

/** The same matrix for each band of fluid temperature, without the filter of temperature. */
export function useTemperaturePanels(view: FleetView, bands: readonly Band[]): PanelsFound {
  const { measure } = view;
  const { fluidTemperatureBand: _, ...filter } = filterOf(view);
  const isSpread = isSpreadMeasure(measure);
  const rates = useQuery({
    ...fleetQueries.matrices({ ...filter, measure: rateMeasure(view) }),
    enabled: !isSpread,
    select: ratePanels,
  });
  const spreads = useQueries({
    queries: (isSpread ? bands : []).map(({ index }) => ({
      ...fleetQueries.spread(spreadFilter({ ...filter, fluidTemperatureBand: index }, isSpread ? measure : 'flareRpm')),
      select: spreadMatrix,
      placeholderData: keepPreviousData,
    })),
  });
  if (!isSpread) return { panels: rates.data, error: rates.error, retry: () => void rates.refetch() };
  const panels = spreads.flatMap(({ data }, at) => {
    const band = bands[at];
    return data === undefined || band === undefined ? [] : [{ band, matrix: data }];
  });
  return {
    panels: panels.length === bands.length ? panels : undefined,
    error: spreads.find(({ error }) => error !== null)?.error ?? null,
    retry: () => {
      for (const { refetch } of spreads) void refetch();
    },
  };
}
