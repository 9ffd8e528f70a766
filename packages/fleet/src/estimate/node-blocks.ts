import type { NodeDesign, NodeSpan } from './node-design.js';
import type { KindMoments, ShiftMoments } from './shift-moments.js';

/**
 * Nodes that are solved for together. Blocks of different shift kinds never meet in a shift, so that each is
 * eliminated on its own; what several kinds share comes last.
 */
export interface NodeBlock {
  /** Global numbers, span after span. */
  readonly nodes: Int32Array;
  readonly spans: readonly { readonly span: NodeSpan; readonly offset: number }[];
  readonly gauges: readonly Gauge[];
}

/**
 * A multiplier and the base it acts on can trade a constant without any effect, and along an axis that both have one per
 * break point. A gauge fixes it: averaged over the driving (there), the multiplier's correction is 0, so that what is
 * common to all of it lands in the base (methods.md 6).
 */
interface Gauge {
  /** Places in the block and their share of the driving, summing to 1. */
  readonly places: Int32Array;
  readonly shares: Float64Array;
}

export interface NodeBlocks {
  /** By shift kind, in order of the kinds' names. */
  readonly byKind: ReadonlyMap<string, NodeBlock>;
  readonly shared: NodeBlock;
}

/** Which spans each kind drives, and Σ w·share of every node. */
interface Driving {
  readonly kindsOf: Map<NodeSpan, Set<string>>;
  readonly evidence: Float64Array;
}

/** Sorts the driven spans into blocks. Spans that nobody drove are left out; their correction is 0. */
export function nodeBlocks(design: NodeDesign, fleet: readonly ShiftMoments[]): NodeBlocks {
  const driving = findDriving(design, fleet);
  const groups = findGaugeGroups(driving);
  const isPrivate = (span: NodeSpan) => {
    const group = groups.find(({ variants }) => variants.includes(span))?.variants ?? [span];
    const kinds = new Set(group.flatMap((member) => [...(driving.kindsOf.get(member) ?? [])]));
    return kinds.size === 1;
  };
  const byKind = new Map<string, NodeSpan[]>();
  const shared: NodeSpan[] = [];
  for (const [span, kinds] of driving.kindsOf) {
    for (const kind of kinds) if (!byKind.has(kind)) byKind.set(kind, []);
    const [only] = kinds;
    if (isPrivate(span)) byKind.get(only)?.push(span);
    else shared.push(span);
  }
  const block = (spans: readonly NodeSpan[]) => layOut(spans, groups, driving.evidence);
  const kinds = [...byKind].sort(([a], [b]) => (a < b ? -1 : 1));
  return { byKind: new Map(kinds.map(([kind, spans]) => [kind, block(spans)])), shared: block(shared) };
}

function findDriving(design: NodeDesign, fleet: readonly ShiftMoments[]): Driving {
  const spanOf = design.spans.flatMap((span) => span.values.map(() => span));
  const kindsOfNode = spanOf.map(() => new Set<string>());
  const evidence = new Float64Array(design.nodeCount);
  const addKind = (kind: string, { nodes, evidence: own }: KindMoments) => {
    for (const [i, node] of nodes.entries()) {
      if (own[i] === 0) continue;
      evidence[node] += own[i];
      kindsOfNode[node].add(kind);
    }
  };
  for (const moments of fleet) for (const [kind, own] of moments) addKind(kind, own);
  const kindsOf = new Map<NodeSpan, Set<string>>();
  for (const [node, kinds] of kindsOfNode.entries()) {
    if (kinds.size > 0) kindsOf.set(spanOf[node], new Set([...(kindsOf.get(spanOf[node]) ?? []), ...kinds]));
  }
  return { kindsOf, evidence };
}

/** Variants of one multiplier that are tied together by acting on the same base variants, directly or by way of others. */
interface GaugeGroup {
  readonly variants: readonly NodeSpan[];
  /** Axes of the multiplier whose quantity is one of the base's axes too. */
  readonly sharedAxes: readonly number[];
}

function findGaugeGroups({ kindsOf }: Driving): GaugeGroup[] {
  const spans = [...kindsOf.keys()];
  const meets = (a: NodeSpan, b: NodeSpan) => [...(kindsOf.get(a) ?? [])].some((kind) => kindsOf.get(b)?.has(kind));
  const bases = spans.filter(({ role }) => role === 'base');
  const tables = new Set(spans.filter(({ role }) => role === 'multiplier').map(({ spec }) => spec));
  return [...tables].flatMap((table) => {
    const groups: { variants: NodeSpan[]; bases: Set<NodeSpan> }[] = [];
    for (const variant of spans.filter(({ spec }) => spec === table)) {
      const own = { variants: [variant], bases: new Set(bases.filter((base) => meets(variant, base))) };
      for (const group of groups.filter((other) => [...other.bases].some((base) => own.bases.has(base)))) {
        own.variants.push(...group.variants);
        for (const base of group.bases) own.bases.add(base);
        groups.splice(groups.indexOf(group), 1);
      }
      groups.push(own);
    }
    return groups.map((group) => {
      const quantities = new Set([...group.bases].flatMap(({ spec }) => spec.axes.map(({ quantity }) => quantity)));
      const sharedAxes = [...table.axes.keys()].filter((axis) => quantities.has(table.axes[axis].quantity));
      return { variants: group.variants, sharedAxes };
    });
  });
}

function layOut(spans: readonly NodeSpan[], groups: readonly GaugeGroup[], evidence: Float64Array): NodeBlock {
  const placed: { span: NodeSpan; offset: number }[] = [];
  const nodes: number[] = [];
  for (const span of [...spans].sort((a, b) => a.start - b.start)) {
    placed.push({ span, offset: nodes.length });
    for (let i = 0; i < span.values.length; i += 1) nodes.push(span.start + i);
  }
  const gauges = groups.flatMap(({ variants, sharedAxes }) => {
    const own = placed.filter(({ span }) => variants.includes(span));
    const levels = new Map<string, number[]>();
    for (const { span, offset } of own) {
      for (let i = 0; i < span.values.length; i += 1) {
        const level = levelOf(span, i, sharedAxes);
        levels.set(level, [...(levels.get(level) ?? []), offset + i]);
      }
    }
    return [...levels.values()].flatMap((places) => gaugeAt(Int32Array.from(places), nodes, evidence));
  });
  return { nodes: Int32Array.from(nodes), spans: placed, gauges };
}

/** None where nobody drove. */
function gaugeAt(places: Int32Array, nodes: ArrayLike<number>, evidence: Float64Array): Gauge[] {
  const total = places.reduce((sum, place) => sum + evidence[nodes[place]], 0);
  return total > 0 ? [{ places, shares: Float64Array.from(places, (place) => evidence[nodes[place]] / total) }] : [];
}

/** The same blocks where the shifts count with other weights: gauges average over those. */
export function gaugedBy({ byKind, shared }: NodeBlocks, evidence: Float64Array): NodeBlocks {
  const gauged = (block: NodeBlock): NodeBlock => ({
    ...block,
    gauges: block.gauges.flatMap(({ places }) => gaugeAt(places, block.nodes, evidence)),
  });
  return { byKind: new Map([...byKind].map(([kind, block]) => [kind, gauged(block)])), shared: gauged(shared) };
}

/** Where along the shared axes a node lies. */
function levelOf({ axes }: NodeSpan, nodeIndex: number, sharedAxes: readonly number[]): string {
  let rest = nodeIndex;
  const indices = axes.map(() => 0);
  for (let axis = axes.length - 1; axis >= 0; axis -= 1) {
    indices[axis] = rest % axes[axis].length;
    rest = Math.floor(rest / axes[axis].length);
  }
  return sharedAxes.map((axis) => indices[axis]).join('/');
}
