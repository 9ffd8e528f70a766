import type { NodeProposal } from '@syncline/contract';
import { NODE_REASONS } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { changingNodes, nodeKey } from '../src/pages/proposals/node-choice.js';
import { proposalCell } from '../src/pages/proposals/proposal-cell.js';
import {
  changePercent,
  correctionRange,
  mainReason,
  REASON_WORDS,
  WHOLE,
} from '../src/pages/proposals/proposal-words.js';
import { warrantOf } from '../src/pages/proposals/trim-words.js';

const node = (change: Partial<NodeProposal> = {}): NodeProposal => ({
  tableId: 'basePressure',
  variant: '3-4',
  nodeIndex: 7,
  presentValue: 250,
  proposedValue: 265,
  change: 'raise',
  correctionLn: Math.log(1.06),
  sdLn: 0.02,
  shifts: 40,
  vehicles: 9,
  flareRate: 0.05,
  reasons: [],
  ...change,
});

const look = {
  show: 'correction',
  scheme: 'light',
  unit: 'kPa',
  digits: 0,
  reach: 10,
  extent: [0, 1],
  where: 'Load 40 %',
  isTaken: true,
} as const;

describe('the words of a proposal', () => {
  it('have a letter of their own for every reason, so that none is told by colour alone', () => {
    const letters = [WHOLE, ...Object.values(REASON_WORDS)].map(({ letter }) => letter);
    expect(new Set(letters).size).toBe(NODE_REASONS.length + 1);
    expect(Object.keys(REASON_WORDS).sort()).toEqual([...NODE_REASONS].sort());
  });

  it('name the first reason, or that the correction is made in full', () => {
    expect(mainReason(node()).word).toBe('in full');
    expect(mainReason(node({ reasons: ['stepLimit', 'course'] })).letter).toBe('T');
  });

  it('give a correction as the range in which it lies with 95 %', () => {
    const range = correctionRange(node());
    expect(range?.[0]).toBeCloseTo(1.9, 1);
    expect(range?.[1]).toBeCloseTo(10.2, 1);
    expect(correctionRange(node({ sdLn: null }))).toBeNull();
    expect(changePercent(node())).toBeCloseTo(6, 6);
  });
});

describe('a cell of a proposal', () => {
  it('is hatched where it is left alone, and has a dot where a person left it out', () => {
    const left = proposalCell(node({ change: 'leave', proposedValue: 250, reasons: ['tooFewShifts'] }), look);
    expect(left).toMatchObject({ isHatched: true, isCommented: false, note: 'S' });
    expect(left.description).toContain('left alone: few shifts');
    expect(proposalCell(node(), { ...look, isTaken: false })).toMatchObject({ isHatched: false, isCommented: true });
  });

  it('says the whole in words, with units', () => {
    expect(proposalCell(node(), look).description).toBe(
      'Load 40 %; correction +6.0\u202f% plus or minus 2.0 %; 250\u202fkPa to 265\u202fkPa; 40 shifts, 9 cars; in full',
    );
  });

  it('shows no figure where nobody drove', () => {
    const cell = proposalCell(node({ sdLn: null, shifts: 0, change: 'leave', reasons: ['tooFewShifts'] }), look);
    expect(cell.text).toBe('–');
    expect(cell.description).toContain('nobody drove here');
  });
});

it('changes are told apart by table, variant and place', () => {
  const nodes = [node(), node({ nodeIndex: 8, change: 'leave' }), node({ variant: '4-5' })];
  expect(changingNodes(nodes).map(nodeKey)).toEqual(['basePressure/3-4/7', 'basePressure/4-5/7']);
});

it.each([
  [0.06, 0.01, 'warranted'],
  [-0.06, 0.01, 'warranted'],
  [0.06, 0.05, 'unclear'],
  [0.01, 0.005, 'not needed'],
  [0.01, 0.02, 'unclear'],
] as const)('a trim of %d ± %d is %s', (trimLn, sdLn, warrant) => {
  expect(warrantOf({ trimLn, sdLn })).toBe(warrant);
});
