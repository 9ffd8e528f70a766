import { canonicalJson, checkContent, type TableSpec } from '@syncline/calibration';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CorrectionEstimate } from '../src/estimate/estimate-corrections.js';
import type { NodeDesign } from '../src/estimate/node-design.js';
import { applyProposal } from '../src/propose/apply-proposal.js';
import { keepAllowed, nearestAllowed } from '../src/propose/nearest-allowed.js';
import { DEFAULT_PROPOSAL_POLICY, type ProposalPolicy } from '../src/propose/proposal-policy.js';
import { type NodeProposal, proposeCorrections } from '../src/propose/propose-corrections.js';
import { smallDesign } from './small-fleet.js';

interface NodeFacts {
  readonly correctionLn: number;
  readonly sdLn: number;
  readonly shifts: number;
  readonly vehicles: number;
  readonly flareRate: number;
}

const CERTAIN: NodeFacts = { correctionLn: 0, sdLn: 0.005, shifts: 100, vehicles: 10, flareRate: 0 };

function anEstimate(nodes: readonly Partial<NodeFacts>[]): CorrectionEstimate {
  const column = (key: keyof NodeFacts) => Float64Array.from(nodes, (node) => ({ ...CERTAIN, ...node })[key]);
  return {
    kind: 'estimate',
    correctionLn: column('correctionLn'),
    sdLn: column('sdLn'),
    evidence: { shifts: column('shifts'), vehicles: column('vehicles'), flareRate: column('flareRate') },
    components: {
      residualSd: 0.05,
      vehicleSd: 0.06,
      vehicleShiftSd: 0.02,
      roughnessSd: { base: 0.03, multiplier: 0.03 },
    },
    isConverged: true,
    iterations: 1,
    trims: [],
    commonTrimLn: 0,
    shifts: 1000,
  };
}

const WHOLE: Partial<TableSpec> = {
  storage: { type: 'u16', resolution: 1, offset: 0 },
  limits: { min: 70, max: 1400 },
  monotone: [{ axis: 0, direction: 'rising', strict: false }],
};

/** Proposals for one table over one axis of break points 0, 1, 2, … */
function proposeFor(
  values: readonly number[],
  nodes: readonly Partial<NodeFacts>[],
  spec: Partial<TableSpec> = WHOLE,
  policy: ProposalPolicy = DEFAULT_PROPOSAL_POLICY,
): NodeProposal[] {
  const design = smallDesign([{ id: 'base', axes: [values.map((_, i) => i)], values: { '1-2': values }, spec }]);
  return proposeCorrections(design, anEstimate(nodes), policy);
}

describe('a node', () => {
  it.each<[string, number, Partial<NodeFacts>, number, readonly string[]]>([
    ['is corrected in full within the step', 200, { correctionLn: Math.log(1.05) }, 210, []],
    ['is raised by 8 % at most', 200, { correctionLn: 0.3 }, 216, ['stepLimit']],
    ['is lowered by 8 % at most', 200, { correctionLn: -0.3 }, 184, ['stepLimit']],
    ['stays with too few shifts', 200, { correctionLn: 0.3, shifts: 11 }, 200, ['tooFewShifts']],
    ['stays with too few vehicles', 200, { correctionLn: 0.3, vehicles: 2.9 }, 200, ['tooFewVehicles']],
    ['stays when too uncertain', 200, { correctionLn: 0.3, sdLn: 0.07 }, 200, ['tooUncertain']],
    [
      'stays when nobody drove it',
      200,
      { correctionLn: 0, sdLn: Infinity, shifts: 0, vehicles: 0, flareRate: NaN },
      200,
      ['tooFewShifts'],
    ],
    ['stays within its own uncertainty', 200, { correctionLn: -0.02, sdLn: 0.025 }, 200, ['withinUncertainty']],
    ['is not lowered while it flares', 200, { correctionLn: -0.05, flareRate: 0.03 }, 200, ['flaring']],
    ['is raised while it flares', 200, { correctionLn: 0.05, flareRate: 0.03 }, 210, []],
    ['is lowered when flares are within policy', 200, { correctionLn: -0.05, flareRate: 0.02 }, 190, []],
    ['keeps to the lower limit', 72, { correctionLn: -0.05 }, 70, ['layoutLimit']],
    ['keeps to the upper limit', 1390, { correctionLn: 0.05 }, 1400, ['layoutLimit']],
    [
      'stays when less than half a storage step is left',
      100,
      { correctionLn: 0.004, sdLn: 0.001 },
      100,
      ['storageStep'],
    ],
    ['stays when it is not above 0', 0, { correctionLn: 0.05 }, 0, ['notPositive']],
  ])('%s', (_, value, facts, proposed, reasons) => {
    const [node] = proposeFor([value], [facts], { ...WHOLE, limits: { min: value === 0 ? 0 : 70, max: 1400 } });
    expect([node.proposedValue, node.reasons]).toEqual([proposed, reasons]);
  });

  it('is stored without the binary dust of a decimal resolution', () => {
    const factor: Partial<TableSpec> = {
      storage: { type: 'u16', resolution: 0.001, offset: 0 },
      limits: { min: 0.7, max: 1.4 },
    };
    const [node] = proposeFor([1], [{ correctionLn: Math.log(1.009) }], factor);
    expect(1009 * 0.001).not.toBe(1.009);
    expect(node.proposedValue).toBe(1.009);
  });

  it('outside its limits only comes closer to them', () => {
    const [high] = proposeFor([1600], [{ correctionLn: 0.05 }]);
    expect(high.proposedValue).toBe(1600);
    const [lowered] = proposeFor([1600], [{ correctionLn: -0.05 }]);
    expect(lowered.proposedValue).toBe(1522);
  });
});

describe('neighbours', () => {
  it('that would cross meet between what they want, the surer one giving way less', () => {
    const [a, b] = proposeFor([200, 205], [{ correctionLn: 0.06 }, { correctionLn: -0.04, sdLn: 0.01 }]);
    expect(a.proposedValue).toBe(b.proposedValue);
    expect(a.proposedValue).toBeGreaterThan(200);
    expect(a.reasons).toEqual(['course']);
    expect(b.reasons).toEqual(['course']);
  });

  it('without evidence hold a node that would pass them', () => {
    const [a, b] = proposeFor([200, 205], [{ correctionLn: 0.06 }, { correctionLn: 0.06, shifts: 0 }]);
    expect([a.proposedValue, b.proposedValue]).toEqual([205, 205]);
    expect(a.reasons).toEqual(['course']);
  });

  it('keep a strict course a storage step apart', () => {
    const strict: Partial<TableSpec> = { ...WHOLE, monotone: [{ axis: 0, direction: 'falling', strict: true }] };
    const [a, b] = proposeFor([205, 200], [{ correctionLn: -0.06 }, { shifts: 0 }], strict);
    expect([a.proposedValue, b.proposedValue]).toEqual([201, 200]);
  });

  it('keep the course exactly in a long table, where the projection has not settled', () => {
    const wanted = Array.from({ length: 60 }, (_, i) => Math.log(1.078 - 0.001 * i));
    const proposal = proposeFor(
      wanted.map(() => 500),
      wanted.map((correctionLn) => ({ correctionLn })),
    );
    const values = proposal.map(({ proposedValue }) => proposedValue);
    expect(values).toEqual([...values].sort((a, b) => a - b));
    expect(values[0]).toBeGreaterThan(510);
  });

  it('whose course is broken already may mend it, and hold nobody else', () => {
    const facts = [{ correctionLn: 0.04 }, { correctionLn: Math.log(1.02) }, { correctionLn: Math.log(1.05) }];
    const values = proposeFor([210, 200, 300], facts).map(({ proposedValue }) => proposedValue);
    expect(values[2]).toBe(315);
    expect(values[1]).toBeGreaterThan(200);
    expect(values[0] - values[1]).toBeLessThanOrEqual(10);
  });

  it('keep the slope limit', () => {
    const steep: Partial<TableSpec> = { ...WHOLE, slopeLimits: [{ axis: 0, maxPerUnit: 12 }] };
    const [a, b] = proposeFor([200, 205], [{ shifts: 0 }, { correctionLn: 0.07 }], steep);
    expect([a.proposedValue, b.proposedValue]).toEqual([200, 212]);
    expect(b.reasons).toEqual(['slope']);
  });
});

describe('the nearest allowed values', () => {
  const rising = (count: number) =>
    Array.from({ length: count - 1 }, (_, a) => ({ a, b: a + 1, low: 0, high: Infinity, reason: 'course' as const }));
  const free = (wanted: number, variance = 1) => ({ present: 0, wanted, low: -100, high: 100, variance });

  it('are the pooled means of isotonic regression (from memory: 1, 3, 2, 4, 3, 5 pools to 1, 2.5, 2.5, 3.5, 3.5, 5)', () => {
    const nearest = nearestAllowed(
      [1, 3, 2, 4, 3, 5].map((wanted) => free(wanted)),
      rising(6),
    );
    expect(nearest).toEqual([1, 2.5, 2.5, 3.5, 3.5, 5].map((value) => expect.closeTo(value, 5)));
  });

  it('are those of pooling adjacent violators, for any values', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -50, max: 50 }), { minLength: 1, maxLength: 7 }), (values) => {
        const nearest = nearestAllowed(
          values.map((wanted) => free(wanted)),
          rising(values.length),
        );
        expect(nearest).toEqual(pooled(values).map((value) => expect.closeTo(value, 2)));
      }),
      { numRuns: 1000 },
    );
  });

  /** Barlow, Bartholomew, Bremner and Brunk 1972: pool neighbours that cross into their mean until none do. */
  function pooled(values: readonly number[]): number[] {
    const blocks: { sum: number; count: number }[] = [];
    for (const value of values) {
      let block = { sum: value, count: 1 };
      for (let last = blocks.at(-1); last && last.sum / last.count > block.sum / block.count; last = blocks.at(-1)) {
        block = { sum: last.sum + block.sum, count: last.count + block.count };
        blocks.pop();
      }
      blocks.push(block);
    }
    return blocks.flatMap(({ sum, count }) => Array.from({ length: count }, () => sum / count));
  }

  it('are nearest, not merely allowed, where one node is below two others (all pool to 2.5/3)', () => {
    const below = [1, 2].map((b) => ({ a: 0, b, low: 0, high: Infinity, reason: 'course' as const }));
    const nearest = nearestAllowed([free(2), free(0), free(0.5)], below);
    expect(nearest).toEqual([2.5 / 3, 2.5 / 3, 2.5 / 3].map((value) => expect.closeTo(value, 5)));
  });

  it('are weighted means where certainty differs', () => {
    const [a, b] = nearestAllowed([free(3, 1), free(0, 2)], rising(2));
    expect(a).toBeCloseTo((3 * 1 + 0 * 0.5) / 1.5, 5);
    expect(b).toBeCloseTo(a, 5);
  });

  it('made exact keep every bound and pass neither the present value nor the aim', () => {
    const whole = fc.integer({ min: -50, max: 50 });
    const place = fc.nat({ max: 5 });
    const bound = fc.record({ a: place, b: place, slack: fc.nat({ max: 20 }), more: fc.nat({ max: 20 }) });
    const input = fc.tuple(
      fc.tuple(whole, whole, whole, whole, whole, whole),
      fc.array(whole, { minLength: 6, maxLength: 6 }),
      fc.array(bound, { maxLength: 12 }),
    );
    fc.assert(
      fc.property(input, ([present, aim, wanted]) => {
        const bounds = wanted
          .filter(({ a, b }) => a !== b)
          .map(({ a, b, slack, more }) => {
            const difference = present[b] - present[a];
            return { a, b, low: difference - slack, high: difference + more, reason: 'slope' as const };
          });
        const kept = keepAllowed(present, aim, bounds);
        for (const { a, b, low, high } of bounds) {
          expect(kept[b] - kept[a]).toBeGreaterThanOrEqual(low);
          expect(kept[b] - kept[a]).toBeLessThanOrEqual(high);
        }
        for (const [i, x] of kept.entries()) {
          expect(x).toBeGreaterThanOrEqual(Math.min(present[i], aim[i]));
          expect(x).toBeLessThanOrEqual(Math.max(present[i], aim[i]));
        }
      }),
      { numRuns: 1500 },
    );
  });
});

const wild = fc.oneof(
  fc.double({ min: -0.6, max: 0.6, noNaN: true }),
  fc.constantFrom(Number.NaN, Infinity, -Infinity, 0, 1e300, -1e300),
);
/** Evidence on which a node may well move. */
const plainNode = fc.record({
  correctionLn: fc.double({ min: -0.3, max: 0.3, noNaN: true }),
  sdLn: fc.double({ min: 0.001, max: 0.02, noNaN: true }),
  shifts: fc.integer({ min: 50, max: 200 }),
  vehicles: fc.integer({ min: 6, max: 12 }),
  flareRate: fc.constantFrom(0, 0, 0.2, Number.NaN),
});
const wildNode = fc.record({
  correctionLn: wild,
  sdLn: fc.oneof(fc.double({ min: 0.001, max: 0.1, noNaN: true }), wild),
  shifts: fc.oneof(fc.double({ min: 0, max: 200, noNaN: true }), wild),
  vehicles: fc.oneof(fc.double({ min: 0, max: 12, noNaN: true }), wild),
  flareRate: fc.oneof(fc.double({ min: 0, max: 0.1, noNaN: true }), wild),
});
const anyPolicy = fc.record({
  minShifts: fc.integer({ min: 1, max: 50 }),
  minVehicles: fc.integer({ min: 1, max: 6 }),
  maxSdLn: fc.double({ min: 0.01, max: 0.2, noNaN: true }),
  leastSignal: fc.double({ min: 0, max: 3, noNaN: true }),
  maxStep: fc.double({ min: 0.001, max: 0.3, noNaN: true }),
  maxFlareRate: fc.double({ min: 0, max: 0.1, noNaN: true }),
  carriesThin: fc.boolean(),
});
const anyStorage = fc.constantFrom<TableSpec['storage']>(
  { type: 'u16', resolution: 1, offset: 0 },
  { type: 'u16', resolution: 0.1, offset: 3 },
  { type: 's16', resolution: 5, offset: 0 },
  { type: 'f32', resolution: 1, offset: 0 },
);
const anyCourse = fc.record({
  axis: fc.constantFrom(0, 1),
  direction: fc.constantFrom('rising' as const, 'falling' as const),
  strict: fc.boolean(),
});
const anyTable = fc
  .record({
    rows: fc.integer({ min: 1, max: 4 }),
    columns: fc.integer({ min: 1, max: 4 }),
    storage: anyStorage,
    monotone: fc.array(anyCourse, { maxLength: 2 }),
    slopeLimits: fc.array(
      fc.record({ axis: fc.constantFrom(0, 1), maxPerUnit: fc.double({ min: 0, max: 40, noNaN: true }) }),
      { maxLength: 2 },
    ),
    min: fc.integer({ min: 0, max: 150 }),
    span: fc.integer({ min: 1, max: 400 }),
    values: fc.array(fc.oneof(fc.integer({ min: 10, max: 70 }), fc.double({ min: -5, max: 400, noNaN: true })), {
      minLength: 16,
      maxLength: 16,
    }),
    nodes: fc.array(fc.oneof({ weight: 6, arbitrary: plainNode }, { weight: 1, arbitrary: wildNode }), {
      minLength: 16,
      maxLength: 16,
    }),
    isOrdered: fc.boolean(),
  })
  .map(({ rows, columns, storage, monotone, slopeLimits, min, span, values, nodes, isOrdered }) => {
    const count = rows * columns;
    const stored = values
      .slice(0, count)
      .map((value) => storage.offset + Math.round(value) * (storage.type === 'f32' ? 1 : storage.resolution));
    if (isOrdered) stored.sort((a, b) => a - b);
    const axes = [Array.from({ length: rows }, (_, i) => i), Array.from({ length: columns }, (_, i) => 3 * i)];
    const spec = { storage, monotone, slopeLimits, limits: { min, max: min + span } };
    return {
      design: smallDesign([{ id: 'base', axes, values: { '1-2': stored }, spec }]),
      nodes: nodes.slice(0, count),
    };
  });

/** How far a pair is from the course that the layout asks for, and how steep; 0 when as it should be. */
function faults(design: NodeDesign, values: readonly number[]): number[] {
  const { spec, axes } = design.spans[0];
  const pairs = (axis: number) => {
    const stride = axis === 0 ? axes[1].length : 1;
    return values.flatMap((_, b) => {
      const step = Math.floor(b / stride) % axes[axis].length;
      return step > 0 ? [{ a: b - stride, b, distance: axes[axis][step] - axes[axis][step - 1] }] : [];
    });
  };
  return [
    ...spec.monotone.flatMap(({ axis, direction, strict }) =>
      pairs(axis).map(({ a, b }) => {
        const rise = (values[b] - values[a]) * (direction === 'rising' ? 1 : -1);
        return rise > 0 || (rise === 0 && !strict) ? 0 : 1e-9 - rise;
      }),
    ),
    ...spec.slopeLimits.flatMap(({ axis, maxPerUnit }) =>
      pairs(axis).map(({ a, b, distance }) =>
        Math.max(0, Math.abs(values[b] - values[a]) - maxPerUnit * distance * (1 + 1e-9)),
      ),
    ),
  ];
}

/** Goes along with a neighbour, where the policy lets values with thin evidence do so. */
const isCarried = ({ reasons }: NodeProposal, { carriesThin }: ProposalPolicy) =>
  carriesThin && reasons.includes('carried');

type Claim = (node: NodeProposal, facts: NodeFacts, policy: ProposalPolicy, spec: TableSpec) => boolean;

const CLAIMS: readonly [string, Claim][] = [
  [
    'leaves the limits of the layout, or goes further out',
    ({ presentValue, proposedValue }, _facts, _policy, { limits }) =>
      proposedValue >= Math.min(limits.min, presentValue) && proposedValue <= Math.max(limits.max, presentValue),
  ],
  [
    'exceeds the step',
    ({ presentValue, proposedValue }, _facts, { maxStep }) =>
      Math.abs(proposedValue - presentValue) <= maxStep * Math.abs(presentValue) + 1e-6,
  ],
  [
    'lowers a flaring node',
    ({ presentValue, proposedValue }, { flareRate }, { maxFlareRate }) =>
      !(flareRate > maxFlareRate) || proposedValue >= presentValue,
  ],
  [
    'moves a node without evidence, or within its uncertainty',
    (node, { correctionLn, sdLn, shifts, vehicles }, policy) => {
      const { presentValue, proposedValue, change } = node;
      const isThin = !(shifts >= policy.minShifts && vehicles >= policy.minVehicles && sdLn <= policy.maxSdLn);
      const isUnsure = !(Math.abs(correctionLn) > policy.leastSignal * sdLn);
      return !(isThin || isUnsure) || isCarried(node, policy) || (proposedValue === presentValue && change === 'leave');
    },
  ],
  [
    'moves a node against its evidence',
    (node, { correctionLn }, policy) =>
      node.change === 'leave' || isCarried(node, policy) || node.change === (correctionLn > 0 ? 'raise' : 'lower'),
  ],
  [
    'stops short of a correction without saying why',
    ({ presentValue, proposedValue, reasons }, { correctionLn }, _policy, { storage }) =>
      reasons.length > 0 ||
      Math.abs(proposedValue - presentValue * Math.exp(correctionLn)) <= 0.51 * storage.resolution,
  ],
];

describe('whatever the input, no proposal', () => {
  it.each(CLAIMS)('%s', (_, claim) => {
    fc.assert(
      fc.property(anyTable, anyPolicy, ({ design, nodes }, policy) => {
        const proposal = proposeCorrections(design, anEstimate(nodes), policy);
        expect(proposal.filter((node, i) => !claim(node, nodes[i], policy, design.spans[0].spec))).toEqual([]);
      }),
      { numRuns: 1500 },
    );
  });

  it('breaks the required course or the slope limit, or makes a broken one worse', () => {
    fc.assert(
      fc.property(anyTable, anyPolicy, ({ design, nodes }, policy) => {
        const proposed = proposeCorrections(design, anEstimate(nodes), policy).map(
          ({ proposedValue }) => proposedValue,
        );
        const before = faults(design, design.spans[0].values);
        for (const [i, fault] of faults(design, proposed).entries())
          expect(fault).toBeLessThanOrEqual(before[i] + 1e-8);
      }),
      { numRuns: 1500 },
    );
  });

  it('depends on anything but its input, or holds what canonical JSON cannot', () => {
    fc.assert(
      fc.property(anyTable, anyPolicy, ({ design, nodes }, policy) => {
        const texts = [1, 2].map(() => canonicalJson(proposeCorrections(design, anEstimate(nodes), policy)));
        expect(texts[0]).toBe(texts[1]);
      }),
    );
  });
});

describe('a draft', () => {
  const values = [200, 300, 400];
  const design = smallDesign([{ id: 'base', axes: [[0, 1, 2]], values: { '1-2': values }, spec: WHOLE }]);
  const proposal = proposeCorrections(
    design,
    anEstimate([{ correctionLn: 0.05 }, { shifts: 0 }, { correctionLn: -0.05 }]),
  );

  it('holds the accepted changes and leaves the base revision as it was', () => {
    expect(applyProposal(design.content, proposal).tables.base.values['1-2']).toEqual([210, 300, 380]);
    const part = applyProposal(design.content, proposal, ({ change }) => change === 'raise');
    expect(part.tables.base.values['1-2']).toEqual([210, 300, 400]);
    expect(design.content.tables.base.values['1-2']).toEqual(values);
  });

  it('of all changes passes the check of the layout', () => {
    const platform = {
      id: 'small',
      title: 'Small',
      gears: [],
      clutches: [],
      shifts: [{ id: '1-2', from: 1, to: 2 }],
      programs: [],
      dialects: [],
      ratedInputTorqueNm: 300,
      inputInertiaKgM2: 0.1,
    };
    expect(checkContent(design.layout, platform, applyProposal(design.content, proposal))).toEqual([]);
  });
});
