import type { Band, MatricesResponse, MatrixResponse, Rate, Spread, SpreadResponse } from '@syncline/contract';
import { describeSpread, formatMost, MEASURED, measureWord, spreadShortfall } from '../../format/measured.js';
import { formatCount, formatQuantity } from '../../format/quantity.js';
import { describeRate, formatInterval, formatShare, shortfall } from '../../format/rate.js';

/** A rate or a spread as one cell of a matrix shows it. */
export interface MatrixFigure {
  /** What the colour is taken from: a rate as a share, a median in its unit. Null where there is too little evidence. */
  readonly value: number | null;
  /** Width of the interval of a rate as a share; 0 for a median. */
  readonly doubt: number;
  /** The large words of the cell, and the small ones below. */
  readonly main: string;
  readonly side: string;
  /** What is only read out, after both. */
  readonly spoken: string;
  /** All of it as a sentence about a place. */
  readonly describe: (place: string) => string;
}

/** A matrix of any measure, ready to be drawn. */
export interface FleetMatrix {
  /** “Flare”, “Shift time”. */
  readonly word: string;
  /** “rate” in per cent, or the unit of the quantity. */
  readonly unit: string;
  readonly isRate: boolean;
  readonly loadBands: readonly Band[];
  readonly rows: readonly FleetMatrixRow[];
  readonly total: MatrixFigure;
}

interface FleetMatrixRow {
  readonly kind: string;
  readonly total: MatrixFigure;
  /** By index of the load band. */
  readonly cells: ReadonlyMap<number, MatrixFigure>;
}

/** The matrix of one band of fluid temperature. */
export interface TemperaturePanel {
  readonly band: Band;
  readonly matrix: FleetMatrix;
}

export function rateFigure(rate: Rate, word: string): MatrixFigure {
  const describe = (place: string) => `${place}: ${describeRate(rate, word.toLowerCase())}`;
  if (rate.kind === 'insufficient') {
    return { value: null, doubt: 0, main: '–', side: shortfall(rate), spoken: 'that are needed', describe };
  }
  return {
    value: rate.rate,
    doubt: rate.high - rate.low,
    main: formatShare(rate.rate),
    side: `of ${formatCount(rate.shifts)}`,
    spoken: `shifts, interval ${formatInterval(rate.low, rate.high)}`,
    describe,
  };
}

function spreadFigure(spread: Spread, unit: string): MatrixFigure {
  const describe = (place: string) => describeSpread(spread, unit, place);
  if (spread.kind === 'insufficient') {
    return { value: null, doubt: 0, main: '–', side: spreadShortfall(spread), spoken: 'that are needed', describe };
  }
  return {
    value: spread.p50,
    doubt: 0,
    main: formatQuantity(spread.p50, unit),
    side: formatMost(spread, unit).replace(/\u202f\D*$/, ''),
    spoken: `for nine in ten of ${formatCount(spread.shifts)} shifts`,
    describe,
  };
}

export function rateMatrix(matrix: Pick<MatrixResponse, 'measure' | 'loadBands' | 'rows' | 'total'>): FleetMatrix {
  const word = measureWord(matrix.measure);
  const figure = (rate: Rate) => rateFigure(rate, word);
  return {
    word,
    unit: '%',
    isRate: true,
    loadBands: matrix.loadBands,
    rows: matrix.rows.map(({ kind, total, cells }) => ({
      kind,
      total: figure(total),
      cells: new Map(cells.map(({ loadBand, rate }) => [loadBand, figure(rate)])),
    })),
    total: figure(matrix.total),
  };
}

export function spreadMatrix(matrix: SpreadResponse): FleetMatrix {
  const { title, unit } = MEASURED[matrix.measure];
  const figure = (spread: Spread) => spreadFigure(spread, unit);
  return {
    word: title,
    unit,
    isRate: false,
    loadBands: matrix.loadBands,
    rows: matrix.rows.map(({ kind, total, cells }) => ({
      kind,
      total: figure(total),
      cells: new Map(cells.map(({ loadBand, spread }) => [loadBand, figure(spread)])),
    })),
    total: figure(matrix.total),
  };
}

export function ratePanels({ measure, loadBands, panels }: MatricesResponse): TemperaturePanel[] {
  return panels.map(({ fluidTemperatureBand, rows, total }) => ({
    band: fluidTemperatureBand,
    matrix: rateMatrix({ measure, loadBands, rows, total }),
  }));
}

/** Whether a band has limits that shifts can be filtered by; the band of what was not logged has none. */
export function hasLimits({ low, high }: Band): boolean {
  return low !== null || high !== null;
}
