import type { NodeProposal } from '@syncline/contract';
import { valueShade } from '../../charts/shade.js';
import type { GridCell } from '../../charts/value-grid.js';
import { formatChange, formatNumber, formatQuantity, fullValue } from '../../format/quantity.js';
import { type ColourScheme, cssColour, divergingColour, faded, inkOn, type Rgb } from '../../theme/palette.js';
import type { ProposalShow } from './proposal-search.js';
import { changePercent, correctionPercent, mainReason, sdPercent } from './proposal-words.js';

export interface CellLook {
  readonly show: ProposalShow;
  readonly scheme: ColourScheme;
  readonly unit: string;
  readonly digits: number;
  /** Change in per cent that has the full colour. */
  readonly reach: number;
  /** Lowest and highest of what is shown, where a ramp from low to high shades it. */
  readonly extent: readonly [number, number];
  readonly where: string;
  readonly isTaken: boolean;
}

/** Ink that is strong where it is certain and fades into the paper; `share` 0 is certain, 1 the most uncertain. */
export function certaintyColour(share: number, scheme: ColourScheme): Rgb {
  return faded(NEUTRAL, 0.55 * (1 - share), scheme);
}

const NEUTRAL: Rgb = [112, 108, 100];

/** What a cell is shaded by where a ramp from low to high does it. */
export function shadedValue(node: NodeProposal, show: ProposalShow): number {
  if (show === 'uncertainty') return sdPercent(node) ?? Number.NaN;
  return show === 'evidence' ? node.shifts : node.proposedValue;
}

/**
 * One node in the look that was asked for. A change of colour says how much, fading how uncertain, hatching that it is
 * left alone; the letter of the reason stands in every cell.
 */
export function proposalCell(node: NodeProposal, look: CellLook): GridCell {
  const { letter, word } = mainReason(node);
  const isLeft = node.change === 'leave';
  return {
    ...faceOf(node, look),
    isHatched: isLeft,
    isCommented: !isLeft && !look.isTaken,
    description: describeNode(node, look, word),
    title: fullValue(node.proposedValue, look.unit),
    ...(look.show === 'reason' ? { text: letter, note: word } : {}),
  };
}

function faceOf(node: NodeProposal, look: CellLook): Pick<GridCell, 'text' | 'note' | 'background' | 'ink'> {
  const { show, digits, extent } = look;
  const { letter } = mainReason(node);
  switch (show) {
    case 'after':
      return {
        text: formatNumber(node.proposedValue, digits),
        note: letter,
        ...valueShade(node.proposedValue, extent),
      };
    case 'uncertainty': {
      const sd = sdPercent(node);
      const colour = certaintyColour(sd === null || extent[1] === 0 ? 1 : sd / extent[1], look.scheme);
      return {
        text: sd === null ? '–' : `±${formatNumber(sd, 1)}`,
        note: letter,
        background: cssColour(colour),
        ink: inkOn(colour),
      };
    }
    case 'evidence':
      return {
        text: formatNumber(node.shifts, 0),
        note: `${formatNumber(node.vehicles, 0)} cars`,
        ...valueShade(node.shifts, extent),
      };
    case 'change':
      return { text: plainChange(changePercent(node)), note: letter, ...changeFace(changePercent(node), 1, look) };
    default: {
      const isKnown = node.sdLn !== null && node.shifts > 0;
      const percent = correctionPercent(node);
      return {
        text: isKnown ? plainChange(percent) : '–',
        note: letter,
        ...changeFace(isKnown ? percent : 0, certaintyOf(node), look),
      };
    }
  }
}

function plainChange(percent: number): string {
  return formatChange(percent, '', 1);
}

function changeFace(percent: number, certainty: number, { reach, scheme }: CellLook) {
  const colour = faded(divergingColour(reach > 0 ? percent / reach : 0, scheme), certainty, scheme);
  return { background: cssColour(colour), ink: inkOn(colour) };
}

/** 1 where a correction is two of its standard deviations or more. */
function certaintyOf({ correctionLn, sdLn }: NodeProposal): number {
  return sdLn === null ? 0 : Math.min(1, Math.abs(correctionLn) / (2 * sdLn));
}

function describeNode(node: NodeProposal, { where, unit, digits, isTaken }: CellLook, word: string): string {
  const sd = sdPercent(node);
  return [
    where,
    sd === null
      ? 'nobody drove here'
      : `correction ${formatChange(correctionPercent(node), '%', 1)} plus or minus ${formatNumber(sd, 1)} %`,
    `${formatQuantity(node.presentValue, unit, digits)} to ${formatQuantity(node.proposedValue, unit, digits)}`,
    `${formatNumber(node.shifts, 0)} shifts, ${formatNumber(node.vehicles, 0)} cars`,
    node.change === 'leave' ? `left alone: ${word}` : word,
    ...(node.change !== 'leave' && !isTaken ? ['left out by you'] : []),
  ]
    .filter(Boolean)
    .join('; ');
}
