import { type BlockFile, damagedAt, type MdfBlock } from './block-file.js';

/** What makes raw values physical ones. */
export type Conversion =
  | { readonly kind: 'none' }
  /** p1 + p2 · raw. */
  | { readonly kind: 'linear'; readonly p1: number; readonly p2: number }
  /** Value by value, to a number or a text. */
  | { readonly kind: 'other'; readonly convert: Convert };

/** A raw value to its physical value or its text. */
export type Convert = (raw: number) => number | string;

/** Why a conversion is not read. */
export interface UnreadConversion {
  readonly reason: string;
}

/** A default of a table may itself be a conversion, and so on. */
const MAX_NESTING = 4;

/** Names of the conversion types of ASAM MDF 4, by number, that are not read. */
const UNREAD_TYPES: Readonly<Record<number, string>> = {
  3: 'formula',
  9: 'text to value',
  10: 'text to text',
  11: 'bit field',
};

/**
 * Reads a conversion block (reference/check-values.md 13). Read are: none, linear P1 + P2·x, rational
 * (P1x² + P2x + P3)/(P4x² + P5x + P6), tables with and without interpolation, range to value, value to text and range
 * to text. Link 0 is no conversion.
 */
export function readConversion(file: BlockFile, offset: number, nesting = 0): Conversion | UnreadConversion {
  if (offset === 0) return { kind: 'none' };
  if (nesting > MAX_NESTING) throw damagedAt(offset, 'conversions nested too deeply', `at most ${MAX_NESTING}`);
  const block = file.block(offset, ['##CC'], 4, 24);
  const type = block.data.getUint8(0);
  const values = readValues(block);
  const references = block.links.slice(4);
  switch (type) {
    case 0:
      return { kind: 'none' };
    case 1: {
      const [p1, p2] = needed(block, values, 2);
      return { kind: 'linear', p1, p2 };
    }
    case 2: {
      const [p1, p2, p3, p4, p5, p6] = needed(block, values, 6);
      return other((raw) => ((p1 * raw + p2) * raw + p3) / ((p4 * raw + p5) * raw + p6));
    }
    case 4:
    case 5:
      return other(tableConversion(block, values, type === 4));
    case 6:
      return other(rangeToValue(block, values));
    case 7:
      return other(valueToText(values, readTexts(file, block, references, values.length + 1, nesting)));
    case 8:
      return other(rangeToText(values, readTexts(file, block, references, values.length / 2 + 1, nesting)));
    default:
      return { reason: `its conversion (${UNREAD_TYPES[type] ?? `type ${type}`}) is not read` };
  }
}

function other(convert: Convert): Conversion {
  return { kind: 'other', convert };
}

/** A conversion as a function. */
export function convertOf(conversion: Conversion): Convert {
  if (conversion.kind === 'other') return conversion.convert;
  if (conversion.kind === 'none') return (raw) => raw;
  const { p1, p2 } = conversion;
  return (raw) => p1 + p2 * raw;
}

function readValues({ offset, data }: MdfBlock): Float64Array {
  const count = data.getUint16(6, true);
  if (24 + 8 * count > data.byteLength) {
    throw damagedAt(offset, `a conversion with ${count} values`, `at most ${Math.floor((data.byteLength - 24) / 8)}`);
  }
  return Float64Array.from({ length: count }, (_, i) => data.getFloat64(24 + 8 * i, true));
}

function needed({ offset }: MdfBlock, values: Float64Array, count: number): Float64Array {
  if (values.length >= count) return values;
  throw damagedAt(offset, `a conversion with ${values.length} values`, `${count} values`);
}

/** Pairs of key and value, keys rising. Outside the first and last value hold; without interpolation the nearest key, the lower of two. */
function tableConversion(block: MdfBlock, values: Float64Array, isInterpolated: boolean): Convert {
  needed(block, values, 2);
  const last = (values.length >> 1) - 1;
  return (raw) => {
    if (!(raw > values[0])) return Number.isNaN(raw) ? NaN : values[1];
    if (raw >= values[2 * last]) return values[2 * last + 1];
    let low = 0;
    let high = last;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (values[2 * middle] <= raw) low = middle;
      else high = middle;
    }
    const share = (raw - values[2 * low]) / (values[2 * high] - values[2 * low]);
    const [from, to] = [values[2 * low + 1], values[2 * high + 1]];
    if (isInterpolated) return from + (to - from) * share;
    return share <= 0.5 ? from : to;
  };
}

/** Triples of lower bound, upper bound (both inclusive) and value, then the default. */
function rangeToValue(block: MdfBlock, values: Float64Array): Convert {
  needed(block, values, 1);
  return (raw) => {
    for (let i = 0; i + 3 < values.length; i += 3) if (raw >= values[i] && raw <= values[i + 1]) return values[i + 2];
    return values[values.length - 1];
  };
}

function valueToText(values: Float64Array, texts: readonly (Convert | null)[]): Convert {
  const indexOf = new Map(Array.from(values, (value, i) => [value, i] as const).reverse());
  return (raw) => {
    const found = texts[indexOf.get(raw) ?? values.length] ?? null;
    return found === null ? raw : found(raw);
  };
}

/** Pairs of bounds, both inclusive. */
function rangeToText(values: Float64Array, texts: readonly (Convert | null)[]): Convert {
  const count = values.length >> 1;
  return (raw) => {
    let index = 0;
    while (index < count && !(raw >= values[2 * index] && raw <= values[2 * index + 1])) index++;
    const found = texts[index] ?? null;
    return found === null ? raw : found(raw);
  };
}

/** Each reference is a text or a further conversion; one more than the values is the default. None leaves the raw value. */
function readTexts(
  file: BlockFile,
  block: MdfBlock,
  references: readonly number[],
  count: number,
  nesting: number,
): (Convert | null)[] {
  if (references.length > count) {
    throw damagedAt(block.offset, `a conversion with ${references.length} references`, `at most ${count}`);
  }
  return references.map((offset) => {
    if (offset === 0) return null;
    if (file.header(offset, ['##TX', '##MD', '##CC']).id !== '##CC') {
      const text = file.text(offset);
      return () => text;
    }
    const nested = readConversion(file, offset, nesting + 1);
    return 'kind' in nested ? convertOf(nested) : () => NaN;
  });
}
