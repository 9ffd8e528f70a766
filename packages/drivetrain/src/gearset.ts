import { solveLinear } from './solve-linear.js';

/**
 * An epicyclic gearset: planetary sets whose members carry names; members of the same name are one shaft. A set with
 * two suns on one carrier is written as two sets that share carrier and ring.
 */
export interface Gearset {
  readonly input: string;
  readonly output: string;
  readonly sets: readonly PlanetarySet[];
  /** Members fixed to the housing for good. */
  readonly held: readonly string[];
  readonly clutches: readonly GearsetClutch[];
}

export interface PlanetarySet {
  readonly sun: string;
  readonly ring: string;
  readonly carrier: string;
  readonly sunTeeth: number;
  readonly ringTeeth: number;
  /** Whether one planet, or two in mesh with each other, stand between sun and ring. */
  readonly planets: 'single' | 'double';
}

/** A clutch joins two members; a brake joins a member to the housing. */
export interface GearsetClutch {
  readonly id: string;
  readonly joins: readonly [string, string] | readonly [string];
}

/** Speeds of all members by name, in the unit of the prescribed ones. */
export type MemberSpeeds = Readonly<Record<string, number>>;

/**
 * Speeds of all members when the named clutches hold and some members turn at prescribed speeds: Willis' equation per
 * set, z_s(ω_s − ω_c) ± z_r(ω_r − ω_c) = 0 (+ for single planets, − for double), and one linear constraint per held
 * or joined pair. Throws when the constraints leave a member free or contradict each other.
 * @example solveGearset(set, ['A', 'D'], { [set.input]: 2000 })
 */
export function solveGearset(
  gearset: Gearset,
  applied: readonly string[],
  prescribed: Readonly<Record<string, number>>,
): MemberSpeeds {
  const members = memberNames(gearset);
  const column = new Map(members.map((name, i) => [name, i]));
  const rows: number[][] = [];
  const addRow = (terms: readonly (readonly [string, number])[], value: number): void => {
    const row = Array.from({ length: members.length + 1 }, () => 0);
    for (const [name, factor] of terms) {
      const at = column.get(name);
      if (at === undefined) throw new Error(`The gearset has no member '${name}'. Members are ${members.join(', ')}.`);
      row[at] += factor;
    }
    row[members.length] = value;
    rows.push(row);
  };
  for (const set of gearset.sets) addRow(willisTerms(set), 0);
  for (const name of gearset.held) addRow([[name, 1]], 0);
  for (const id of applied) {
    const [first, second] = findClutch(gearset, id).joins;
    addRow(
      second === undefined
        ? [[first, 1]]
        : [
            [first, 1],
            [second, -1],
          ],
      0,
    );
  }
  for (const [name, speed] of Object.entries(prescribed)) addRow([[name, 1]], speed);
  const solution = solveLinear(rows, members.length);
  if (solution === null) {
    throw new Error(`Applying ${applied.join(' + ') || 'nothing'} does not settle every member of the gearset once.`);
  }
  return Object.fromEntries(members.map((name, i) => [name, solution[i]]));
}

/** Input speed over output speed with the named clutches applied; negative for reverse. */
export function gearRatio(gearset: Gearset, applied: readonly string[]): number {
  return 1 / solveGearset(gearset, applied, { [gearset.input]: 1 })[gearset.output];
}

/** Speed between the two sides of a clutch, in the unit of the member speeds. */
export function clutchSlip(gearset: Gearset, clutchId: string, speeds: MemberSpeeds): number {
  const [first, second] = findClutch(gearset, clutchId).joins;
  return speeds[first] - (second === undefined ? 0 : speeds[second]);
}

/**
 * Slip of a clutch per unit of departure n_in − i·n_out from the line of its gear, while the clutches in `shared` hold.
 * By the balance of power (T_clutch·slip = T_input·departure) it is also the input torque that one unit of clutch
 * torque carries. Positive.
 */
export function clutchLever(gearset: Gearset, shared: readonly string[], clutchId: string): number {
  const speeds = solveGearset(gearset, shared, { [gearset.input]: 1, [gearset.output]: 0 });
  return Math.abs(clutchSlip(gearset, clutchId, speeds));
}

function willisTerms(set: PlanetarySet): [string, number][] {
  const ring = set.planets === 'single' ? set.ringTeeth : -set.ringTeeth;
  return [
    [set.sun, set.sunTeeth],
    [set.ring, ring],
    [set.carrier, -set.sunTeeth - ring],
  ];
}

function memberNames(gearset: Gearset): string[] {
  const names = gearset.sets.flatMap((set) => [set.sun, set.ring, set.carrier]);
  return [...new Set([gearset.input, gearset.output, ...names])];
}

function findClutch(gearset: Gearset, id: string): GearsetClutch {
  const clutch = gearset.clutches.find((entry) => entry.id === id);
  if (clutch === undefined) throw new Error(`The gearset has no clutch '${id}'.`);
  return clutch;
}
