import { studentUpperQuantile } from '../special/student.js';

/** Below this the normal law of the others cannot be told from the outliers. */
const FEWEST_VALUES = 12;
/** At most this part of the values are outliers. */
const MOST_OUTLIERS = 0.2;

/**
 * Places of the values that do not belong to the normal law of the others: generalised extreme studentised deviate test
 * (Rosner 1983, Technometrics 25, 165–172). Takes the furthest out one by one, so that outliers do not hide each other.
 * `level` is the chance of naming any in a clean sample. Empty for fewer than 12 values.
 */
export function generalisedEsd(values: readonly number[], level: number): number[] {
  const count = values.length;
  if (count < FEWEST_VALUES) return [];
  const left = new Set(values.keys());
  const taken: number[] = [];
  let outliers = 0;
  for (let i = 1; i <= Math.floor(MOST_OUTLIERS * count); i += 1) {
    const { place, deviation } = furthest(values, left);
    if (!(deviation > 0)) break;
    taken.push(place);
    left.delete(place);
    const freedom = count - i - 1;
    const t = studentUpperQuantile(level / (2 * (count - i + 1)), freedom);
    const critical = ((count - i) * t) / Math.sqrt((freedom + t * t) * (count - i + 1));
    if (deviation > critical) outliers = i;
  }
  return taken.slice(0, outliers);
}

function furthest(values: readonly number[], left: ReadonlySet<number>): { place: number; deviation: number } {
  let sum = 0;
  for (const place of left) sum += values[place];
  const mean = sum / left.size;
  let [square, best, most] = [0, -1, -1];
  for (const place of left) {
    const distance = Math.abs(values[place] - mean);
    square += distance * distance;
    if (distance > most) [best, most] = [place, distance];
  }
  return { place: best, deviation: most / Math.sqrt(square / (left.size - 1)) };
}
