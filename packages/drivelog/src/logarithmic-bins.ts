/** Leading bits of the significand that make a cell: numbers in it differ by at most 0.05 %. */
const CELL_BITS = 11;
const EXPONENT_BIAS = 1023;

const UNKNOWN = -1;
const MIXED = -2;

/**
 * Tells the bins of a rising function of positive numbers without asking it for each: all numbers that begin with the same
 * bits and lie between two of one bin are in that bin. Bins are whole numbers from 0 on.
 */
export class LogarithmicBins {
  private readonly binOf: (value: number) => number;
  private readonly firstCell: number;
  private readonly bins: Int32Array;
  private readonly value = new Float64Array(1);
  /** Its upper half, where the exponent and the leading bits are (little-endian). */
  private readonly words = new Uint32Array(this.value.buffer);

  /** Numbers from 2^`fromExponent` to 2^`toExponent` are remembered; for others the function is asked. */
  constructor(binOf: (value: number) => number, range: { readonly fromExponent: number; readonly toExponent: number }) {
    this.binOf = binOf;
    this.firstCell = (range.fromExponent + EXPONENT_BIAS) << CELL_BITS;
    this.bins = new Int32Array((range.toExponent - range.fromExponent) << CELL_BITS).fill(UNKNOWN);
  }

  of(value: number): number {
    this.value[0] = value;
    const cell = (this.words[1] >>> (20 - CELL_BITS)) - this.firstCell;
    const bin = this.bins[cell];
    if (bin >= 0) return bin;
    if (bin === UNKNOWN) this.bins[cell] = this.binOfCell(cell);
    return this.binOf(value);
  }

  /** The bin of all numbers of a cell; MIXED when they are in several. */
  private binOfCell(cell: number): number {
    const lowest = this.lowestOf(cell);
    const bin = this.binOf(lowest);
    return this.binOf(this.lowestOf(cell + 1)) === bin ? bin : MIXED;
  }

  private lowestOf(cell: number): number {
    const place = cell + this.firstCell;
    const exponent = (place >>> CELL_BITS) - EXPONENT_BIAS;
    return 2 ** exponent * (1 + (place & ((1 << CELL_BITS) - 1)) / (1 << CELL_BITS));
  }
}
