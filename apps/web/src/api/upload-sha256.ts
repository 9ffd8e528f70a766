const BLOCK_BYTES = 64;

/** The first 32 bits of the fractional parts of the cube roots of the first 64 primes (FIPS 180-4, section 4.2.2). */
const ROUND_CONSTANTS = Int32Array.from(firstPrimes(64), (prime) => fractionBits(Math.cbrt(prime)));
/** Of the square roots of the first eight primes (section 5.3.3). */
const START = Int32Array.from(firstPrimes(8), (prime) => fractionBits(Math.sqrt(prime)));

/**
 * SHA-256 (FIPS 180-4) taken piece by piece. Written out because the browser's own digest wants the whole file in
 * memory, and is missing on plain HTTP, which home networks use.
 */
export class Sha256 {
  private readonly state = Int32Array.from(START);
  private readonly schedule = new Int32Array(64);
  private readonly rest = new Uint8Array(BLOCK_BYTES);
  private restBytes = 0;
  private totalBytes = 0;

  update(bytes: Uint8Array): this {
    this.totalBytes += bytes.length;
    let from = 0;
    if (this.restBytes > 0) {
      from = Math.min(BLOCK_BYTES - this.restBytes, bytes.length);
      this.rest.set(bytes.subarray(0, from), this.restBytes);
      this.restBytes += from;
      if (this.restBytes < BLOCK_BYTES) return this;
      this.mix(this.rest, 0);
      this.restBytes = 0;
    }
    for (; from + BLOCK_BYTES <= bytes.length; from += BLOCK_BYTES) this.mix(bytes, from);
    this.rest.set(bytes.subarray(from));
    this.restBytes = bytes.length - from;
    return this;
  }

  /** In lower-case hex. To be asked for once, after the last piece. */
  hex(): string {
    const bits = BigInt(this.totalBytes) * 8n;
    const paddingBytes = ((BLOCK_BYTES * 2 - 9 - this.restBytes) % BLOCK_BYTES) + 9;
    const padding = new Uint8Array(paddingBytes);
    padding[0] = 0x80;
    new DataView(padding.buffer).setBigUint64(paddingBytes - 8, bits);
    this.update(padding);
    return Array.from(this.state, (word) => (word >>> 0).toString(16).padStart(8, '0')).join('');
  }

  /** One block (section 6.2.2). */
  private mix(bytes: Uint8Array, from: number): void {
    const w = this.schedule;
    for (let t = 0, i = from; t < 16; t++, i += 4) {
      w[t] = (at(bytes, i) << 24) | (at(bytes, i + 1) << 16) | (at(bytes, i + 2) << 8) | at(bytes, i + 3);
    }
    for (let t = 16; t < 64; t++) {
      const x = at(w, t - 15);
      const y = at(w, t - 2);
      const sigma0 = ((x >>> 7) | (x << 25)) ^ ((x >>> 18) | (x << 14)) ^ (x >>> 3);
      const sigma1 = ((y >>> 17) | (y << 15)) ^ ((y >>> 19) | (y << 13)) ^ (y >>> 10);
      w[t] = (at(w, t - 16) + sigma0 + at(w, t - 7) + sigma1) | 0;
    }
    // Spelt out: taking the array apart would make an iterator for each block.
    const { state } = this;
    let a = at(state, 0);
    let b = at(state, 1);
    let c = at(state, 2);
    let d = at(state, 3);
    let e = at(state, 4);
    let f = at(state, 5);
    let g = at(state, 6);
    let h = at(state, 7);
    for (let t = 0; t < 64; t++) {
      const sum1 = ((e >>> 6) | (e << 26)) ^ ((e >>> 11) | (e << 21)) ^ ((e >>> 25) | (e << 7));
      const t1 = (h + sum1 + ((e & f) ^ (~e & g)) + at(ROUND_CONSTANTS, t) + at(w, t)) | 0;
      const sum0 = ((a >>> 2) | (a << 30)) ^ ((a >>> 13) | (a << 19)) ^ ((a >>> 22) | (a << 10));
      const t2 = (sum0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      h = g;
      g = f;
      f = e;
      e = (d + t1) | 0;
      d = c;
      c = b;
      b = a;
      a = (t1 + t2) | 0;
    }
    state[0] = at(state, 0) + a;
    state[1] = at(state, 1) + b;
    state[2] = at(state, 2) + c;
    state[3] = at(state, 3) + d;
    state[4] = at(state, 4) + e;
    state[5] = at(state, 5) + f;
    state[6] = at(state, 6) + g;
    state[7] = at(state, 7) + h;
  }
}

/** An index that is known to be inside. */
function at(values: Int32Array | Uint8Array, index: number): number {
  return values[index] as number;
}

function firstPrimes(count: number): number[] {
  const primes: number[] = [];
  for (let n = 2; primes.length < count; n++) if (primes.every((prime) => n % prime !== 0)) primes.push(n);
  return primes;
}

/** Roots of small primes have 5 bits before the point at most, so that a double holds the 32 after it. */
function fractionBits(root: number): number {
  return Math.floor((root % 1) * 2 ** 32) | 0;
}
