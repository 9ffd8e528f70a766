/** A stream of pseudo-random numbers that is the same for the same seed on every machine. */
export interface Random {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Uniform in [low, high). */
  between(low: number, high: number): number;
  /** Normal with mean 0 and standard deviation 1. */
  gaussian(): number;
  /** One of the values, which must not be empty. */
  pick<T>(values: readonly T[]): T;
}

/**
 * The small fast counting generator with 32-bit words (sfc32 of the PractRand collection), seeded by a text so that
 * streams of different purpose can be named: `makeRandom('noise:17')`. Normal deviates by the polar method.
 */
export function makeRandom(seed: string | number): Random {
  const uniform = sfc32(String(seed));
  let spare = Number.NaN;
  const gaussian = (): number => {
    if (!Number.isNaN(spare)) {
      const value = spare;
      spare = Number.NaN;
      return value;
    }
    let x: number;
    let y: number;
    let square: number;
    do {
      x = 2 * uniform() - 1;
      y = 2 * uniform() - 1;
      square = x * x + y * y;
    } while (square >= 1 || square === 0);
    const scale = Math.sqrt((-2 * Math.log(square)) / square);
    spare = y * scale;
    return x * scale;
  };
  return {
    uniform,
    gaussian,
    between: (low, high) => low + (high - low) * uniform(),
    pick: (values) => values[Math.floor(uniform() * values.length)],
  };
}

function sfc32(seed: string): () => number {
  let [a, b, c] = hashWords(seed);
  let counter = 1;
  const next = (): number => {
    const sum = (a + b + counter++) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + sum) | 0;
    return (sum >>> 0) / 0x1_0000_0000;
  };
  // The first draws of similar seeds still resemble each other.
  for (let i = 0; i < 15; i++) next();
  return next;
}

/** Three 32-bit words from a text: FNV-1a, continued with a marker for each further word. */
function hashWords(text: string): [number, number, number] {
  let hash = 0x811c9dc5;
  const absorb = (code: number): number => {
    hash = Math.imul(hash ^ code, 0x01000193);
    return hash;
  };
  for (let i = 0; i < text.length; i++) absorb(text.charCodeAt(i));
  return [absorb(1), absorb(2), absorb(3)];
}
