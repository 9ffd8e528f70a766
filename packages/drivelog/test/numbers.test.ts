import fc from 'fast-check';
import { expect, it } from 'vitest';
import { readLog } from './read-log.js';

/** Number() of the language is the reference: it rounds correctly by ECMA-262. */
const written = fc.oneof(
  fc.double({ noNaN: true, noDefaultInfinity: true }).map(String),
  fc.tuple(fc.double({ min: -1e7, max: 1e7, noNaN: true }), fc.nat(20)).map(([x, n]) => x.toFixed(n)),
  fc.tuple(fc.double({ min: -1e30, max: 1e30, noNaN: true }), fc.nat(18)).map(([x, n]) => x.toExponential(n)),
  fc.tuple(fc.bigInt({ min: 0n, max: 10n ** 24n }), fc.nat(23)).map(([digits, n]) => withPoint(String(digits), n)),
  fc.tuple(fc.bigInt({ min: 2n ** 52n, max: 2n ** 53n }), fc.nat(18), fc.nat(6)).map(nearMidpoint),
  fc.constantFrom(
    '0',
    '-0',
    '+5',
    '.5',
    '5.',
    '00012',
    '-.25',
    '9007199254740993',
    '123456789',
    '9876543210',
    '4294967295.5',
    '123456789012345',
    '0.1',
  ),
);

it.each([
  ['point', ',', '.'],
  ['comma', ';', ','],
])('a number with decimal %s is read as the nearest double', (_, delimiter, mark) => {
  const property = fc.property(fc.array(written, { minLength: 1, maxLength: 50 }), (texts) => {
    const rows = texts.map((text, i) => [`${i}${mark}5`, text.replace('.', mark), '1'].join(delimiter));
    const log = readLog([['time', 'turbine', 'output shaft'].join(delimiter), ...rows, ''].join('\n'), {
      batchSize: 64,
    });
    expect(log.signals.inputSpeed).toEqual(texts.map(Number));
  });
  fc.assert(property, { numRuns: 200, seed: 8 });
});

it.each(['1.2.3', '1e', '--1', '0x10', 'Infinity', '1_000', '1 000', 'e5', '.', '+', '1e999', '1,5'])(
  '%s is no number and damages its row',
  (text) => {
    const rows = [`0;${text};1`, '1;2.5;1', '2;3.5;1'];
    const { findings, signals } = readLog(`time;turbine;output shaft\n${rows.join('\n')}\n`);
    expect(signals.inputSpeed).toEqual([2.5, 3.5]);
    expect(findings.firstDamage).toMatchObject([
      { line: 2, column: 'turbine', reason: 'value_unreadable', found: text },
    ]);
  },
);

/** The hard case of rounding: digits close to the middle between two neighbouring doubles. */
function nearMidpoint([mantissa, halvings, dropped]: [bigint, number, number]): string {
  const shift = halvings + 1;
  const digits = String((2n * mantissa + 1n) * 5n ** BigInt(shift)).padStart(shift + 1, '0');
  const text = `${digits.slice(0, -shift)}.${digits.slice(-shift)}`;
  return text.slice(0, Math.max(17, text.length - dropped));
}

function withPoint(digits: string, position: number): string {
  const at = Math.min(position, digits.length);
  return `${digits.slice(0, at)}.${digits.slice(at)}`;
}
