import { designRows, type NodeDesign, type NodeProposal } from '@syncline/fleet';
import type { PlaceError } from './map-error.ts';

/** A group of places and what it adds to a map's error. */
export interface ErrorPart {
  readonly name: string;
  readonly places: number;
  /** Mean of ln commanded over ideal pressure: what is wrong the same way everywhere in the group. */
  readonly bias: number;
  /** Of the sum of squares over all places. */
  readonly share: number;
}

/** Where a map's squared error comes from, the largest part first. */
export function errorParts(
  places: readonly PlaceError[],
  groupOf: (place: PlaceError) => string,
): readonly ErrorPart[] {
  const groups = new Map<string, number[]>();
  for (const place of places) groups.set(groupOf(place), [...(groups.get(groupOf(place)) ?? []), place.ln]);
  const squares = (values: readonly number[]) => values.reduce((sum, value) => sum + value * value, 0);
  const total = squares(places.map(({ ln }) => ln));
  return [...groups]
    .map(([name, own]) => ({
      name,
      places: own.length,
      bias: own.reduce((sum, ln) => sum + ln, 0) / own.length,
      share: squares(own) / total,
    }))
    .sort((a, b) => b.share - a.share || (a.name < b.name ? -1 : 1));
}

/** What holds the node that a place depends on most, in the proposal made of the last round. */
export function holdOf(design: NodeDesign, proposal: readonly NodeProposal[]): (place: PlaceError) => string {
  const rowAt = designRows(design);
  return ({ point }) => {
    const row = rowAt(point);
    if (row.kind === 'insufficient') return 'no row';
    const [base] = design.spans.filter(({ role }) => role === 'base').map(({ spec }) => spec.id);
    const [heaviest] = row.nodes
      .map((node, i) => ({ node: proposal[node], share: row.shares[i] }))
      .filter(({ node }) => node.tableId === base)
      .sort((a, b) => b.share - a.share);
    const reasons = heaviest?.node.reasons ?? [];
    if (reasons.some((reason) => reason === 'tooFewShifts' || reason === 'tooFewVehicles')) return 'too few shifts';
    if (reasons.includes('tooUncertain')) return 'too uncertain';
    if (reasons.includes('withinUncertainty')) return 'within its uncertainty';
    if (reasons.includes('stepLimit')) return 'step limit';
    if (reasons.includes('flaring')) return 'flares';
    return reasons.some((reason) => reason === 'course' || reason === 'slope' || reason === 'layoutLimit')
      ? 'course or limits'
      : 'nothing';
  };
}
