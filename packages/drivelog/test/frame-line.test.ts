import { expect, it } from 'vitest';
import { FrameLine } from '../src/index.js';
import { bytesOf } from './read-log.js';
import { sharedText } from './shared-data.js';

function parse(line: string) {
  const frame = new FrameLine();
  const bytes = bytesOf(line);
  if (!frame.read(bytes, 0, bytes.length)) return { damage: frame.damage };
  const { identifier, isExtended, kind, isFd, hasTime } = frame;
  const data = Buffer.from(frame.data.subarray(0, frame.length)).toString('hex');
  const bus = line.slice(frame.interfaceStart, frame.interfaceEnd);
  const timeS = frame.seconds + frame.nanoseconds / 1e9;
  return { identifier, isExtended, kind, isFd, data, bus, ...(hasTime && { timeS }) };
}

interface PublishedLine {
  readonly line: string;
  readonly id?: number;
  readonly extended?: boolean;
  readonly data?: string;
  readonly rtr?: boolean;
  readonly fd?: boolean;
  readonly error_frame?: boolean;
}

it('the lines of the check values are read as python-can and log2asc read them', () => {
  const lines: PublishedLine[] = JSON.parse(sharedText('reference/second-source/formats.json')).candump_log;
  for (const { line, id, extended, data = '', rtr, fd, error_frame } of lines) {
    const kind = error_frame ? 'error' : rtr ? 'remote' : 'data';
    expect(parse(line), line).toMatchObject({ kind, isFd: fd ?? false });
    if (!error_frame) expect(parse(line), line).toMatchObject({ identifier: id, isExtended: extended, data });
  }
  expect(lines).toHaveLength(9);
});

/** Log lines and what `log2long` of can-utils 2020.11 makes of them, letter by letter. */
it.each([
  [
    '(1436509052.249713) vcan0 044#2A366C2BBA',
    "(1436509052.249713)  vcan0       044   [5]  2A 36 6C 2B BA            '*6l+.'",
  ],
  ['(1436509052.650004) can0 1ABCDEF0#', "(1436509052.650004)  can0  1ABCDEF0   [0]                            ''"],
  ['(1436509053.850871) vcan0 123#R5', '(1436509053.850871)  vcan0       123   [5]  remote request'],
  [
    '(1436509054.000000) can1 213##311223344556677889900AABB',
    '(1436509054.000000)  can1       213  [12]  11 22 33 44 55 66 77 88 99 00 AA BB',
  ],
  [
    '(1436509054.100000) can1 20000080#0000000000000000',
    '(1436509054.100000)  can1  20000080   [8]  00 00 00 00 00 00 00 00   ERRORFRAME',
  ],
])('%s and its long form are the same frame', (logForm, longForm) => {
  expect(parse(longForm)).toEqual(parse(logForm));
});

/** Forms told by the manual page of candump: options -t A, -x, nine decimals, message info, raw length, dots. */
it.each([
  [' (2015-07-10 06:17:32.249713)  vcan0  044   [2]  2A 36', { data: '2a36', timeS: 1436509052.249713 }],
  [' (0000000001.500000)  can0  RX - -  7E8   [3]  01 02 03', { data: '010203', bus: 'can0', timeS: 1.5 }],
  ['  can0  123   [2]  01 02', { data: '0102', identifier: 0x123 }],
  ['(1.123456789) can0 123#01.02.03 R', { data: '010203', timeS: 1.123456789 }],
  ['(1.5) can0 123#1122334455667788_D T', { data: '1122334455667788' }],
])('%s is read', (line, expected) => {
  expect(parse(line)).toMatchObject({ kind: 'data', ...expected });
});

it.each([
  ['(1436509052.24', 'too_few_fields'],
  ['(1436509052.249713) vcan0 04', 'too_few_fields'],
  ['(1436509052.249713) vcan0 044', 'too_few_fields'],
  ['(1436509052.249713) vcan0 044#2A3', 'too_few_fields'],
  ['(1436509052.249713) vcan0 044   [5]  2A 36', 'too_few_fields'],
  ['(14365x9052.249713) vcan0 044#2A', 'time_unreadable'],
  ['(2015-13-10 06:17:32.249713) vcan0 044#2A', 'time_unreadable'],
  ['(99999999999.1) vcan0 044#2A', 'time_unreadable'],
  ['(1.0) vcan0 844#2A', 'value_unreadable'],
  ['(1.0) vcan0 44#2A', 'value_unreadable'],
  ['(1.0) vcan0 40000000#2A', 'value_unreadable'],
  ['(1.0) vcan0 044#112233445566778899', 'value_unreadable'],
  ['(1.0) vcan0 044#2Ax', 'value_unreadable'],
  ['(1.0) vcan0 044 [1] 2A x', 'value_unreadable'],
  ['(1.0) vcan0 044 [99] 2A', 'value_unreadable'],
])('%s is damaged: %s', (line, damage) => {
  expect(parse(line)).toEqual({ damage });
});
