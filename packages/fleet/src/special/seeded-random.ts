/** Uniform numbers in [0, 1), the same for the same seed on every machine. */
export type UniformSource = () => number;

/** Next 32-bit word of xoshiro128** 1.1 (Blackman and Vigna 2021, ACM Trans. Math. Softw. 47). Changes `state`. */
export function nextWord(state: Uint32Array): number {
  const result = Math.imul(rotateLeft(Math.imul(state[1], 5), 7), 9) >>> 0;
  const shifted = state[1] << 9;
  state[2] ^= state[0];
  state[3] ^= state[1];
  state[1] ^= state[2];
  state[0] ^= state[3];
  state[2] ^= shifted;
  state[3] = rotateLeft(state[3], 11);
  return result;
}

function rotateLeft(word: number, by: number): number {
  return (word << by) | (word >>> (32 - by));
}

/** A source for any whole seed; near seeds give unrelated numbers (state filled by a Weyl sequence and a mixer). */
export function seededUniform(seed: number): UniformSource {
  const state = new Uint32Array(4);
  let weyl = seed >>> 0;
  for (let i = 0; i < 4; i += 1) {
    weyl = (weyl + 0x9e3779b9) >>> 0;
    state[i] = mix(weyl);
  }
  return () => nextWord(state) / 2 ** 32;
}

/** Finaliser of MurmurHash3 (public domain): every input bit moves every output bit. */
function mix(word: number): number {
  let h = word;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}
