import type { Disturbance, Grade } from '@syncline/shifts';

/** How grades lie in a row. Part of the data on disk: never renumber. */
export const GRADE_BITS: Readonly<Record<Grade, number>> = {
  clean: 1,
  flare: 2,
  'tie-up': 4,
  harsh: 8,
  slow: 16,
  incomplete: 32,
};

/** How disturbances lie in a row. Part of the data on disk: never renumber. */
export const DISTURBANCE_BITS: Readonly<Record<Disturbance, number>> = {
  pedalChange: 1,
  brake: 2,
  gap: 4,
  repeatedTime: 8,
  clockStep: 16,
  slowSampling: 32,
  lockUpMove: 64,
};

/** The bits of the named members, each once. */
export function toBits<T extends string>(bitOf: Readonly<Record<T, number>>, members: readonly T[]): number {
  return members.reduce((bits, member) => bits | bitOf[member], 0);
}

/** The members whose bits are set, in the order of the table. */
export function fromBits<T extends string>(bitOf: Readonly<Record<T, number>>, bits: number): T[] {
  return (Object.keys(bitOf) as T[]).filter((member) => (bits & bitOf[member]) !== 0);
}

/** All sets that a member is in, as bits: an index can look a handful of numbers up, but not a bit of one. */
export function setsWith<T extends string>(bitOf: Readonly<Record<T, number>>, member: T): number[] {
  const all = Object.values<number>(bitOf).reduce((sum, bit) => sum | bit, 0);
  return Array.from({ length: all + 1 }, (_, set) => set).filter((set) => (set & bitOf[member]) !== 0);
}
