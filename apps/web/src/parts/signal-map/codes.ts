import type { SignalMapDocument } from '@syncline/contract';

type Codes = NonNullable<SignalMapDocument['signals'][number]['codes']>;

const NONE = 'none';

/** Codes as a person writes them: “14 = -1, 13 = none”. */
export function codesText(codes: Codes | undefined): string {
  return Object.entries(codes ?? {})
    .map(([cell, value]) => `${cell} = ${value ?? NONE}`)
    .join(', ');
}

/** Reads what `codesText` writes; undefined when it cannot be read or names a cell twice. */
export function parseCodes(text: string): Codes | undefined {
  const codes: Codes = {};
  for (const part of text.split(/[,;\n]/).filter((piece) => piece.trim() !== '')) {
    const [, cell, value] = /^\s*([^=]+?)\s*=\s*(\S+)\s*$/.exec(part) ?? [];
    if (cell === undefined || value === undefined || Object.hasOwn(codes, cell)) return undefined;
    const isNone = value.toLowerCase() === NONE;
    if (!isNone && !Number.isFinite(Number(value))) return undefined;
    codes[cell] = isNone ? null : Number(value);
  }
  return codes;
}
