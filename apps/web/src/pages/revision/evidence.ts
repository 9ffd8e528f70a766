import type { EvidenceResponse, Rate } from '@syncline/contract';
import { type GridPlace, type GridSize, positionOf } from '../../charts/grid-place.js';

export type CellEvidence = EvidenceResponse['cells'][number];

/** Evidence of a cell, or undefined while it is on its way. */
export type EvidenceAt = (place: GridPlace) => CellEvidence | undefined;

export function evidenceByCell(evidence: EvidenceResponse | undefined, size: GridSize): EvidenceAt {
  const cells = new Map(evidence?.cells.map((cell) => [positionOf(cell, size), cell]));
  return (place) => cells.get(positionOf(place, size));
}

/**
 * The cell to look at first: the one with the most events of the measure, among equals the one with the most shifts;
 * undefined where nothing was driven.
 */
export function tellingPlace(evidence: EvidenceResponse, measure: 'flare' | 'tie-up'): GridPlace | undefined {
  const [first] = evidence.cells
    .filter(({ shifts }) => shifts > 0)
    .sort((a, b) => rateOf(b, measure).events - rateOf(a, measure).events || b.shifts - a.shifts);
  return first && { row: first.row, column: first.column };
}

/** The rate of a cell that is looked at. */
export function rateOf(cell: CellEvidence, measure: 'flare' | 'tie-up'): Rate {
  return measure === 'flare' ? cell.flare : cell.tieUp;
}
