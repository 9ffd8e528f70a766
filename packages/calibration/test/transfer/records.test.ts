import { execFileSync } from 'node:child_process';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readIntelHex, readSRecord, writeIntelHex, writeSRecord } from '../../src/index.js';
import { commandLine, RECORD_COMMANDS, runCommand } from './record-commands.ts';
import { fixtureOf, readFixtures } from './record-fixtures.ts';

const hasTools = ['objcopy', 'srec_cat'].every((tool) => {
  try {
    execFileSync(tool, ['--version']);
    return true;
  } catch {
    console.warn(`No ${tool} on this machine: the records are only compared with the fixtures of records.txt.`);
    return false;
  }
});

const anImage = fc
  .tuple(
    fc.uint8Array({ minLength: 1, maxLength: 200 }),
    fc.nat(0xffff_ffff),
    fc.constantFrom(0xffff, 0xff_ffff, 2 ** 32 - 1),
  )
  .map(([bytes, address, last]) => ({ startAddress: Math.max(0, (address % (last + 1)) - bytes.length), bytes }));
const aStyle = fc.constantFrom('srec_cat' as const, 'objcopy' as const);

describe('records of the general tools', () => {
  it('are stored for every command', () => {
    const stored = readFixtures().map((fixture) => fixture.split('\n')[0]);
    expect(stored).toEqual(RECORD_COMMANDS.map((command) => `$ ${commandLine(command)}`));
  });

  const fixtures = readFixtures();
  it.each(RECORD_COMMANDS.map((command, i) => [i, command.image.bytes.length, commandLine(command), command] as const))(
    'equal ours byte for byte: %i, %i bytes by %s',
    (i, _bytes, _line, command) => {
      expect(fixtureOf(command, command.write()).trimEnd()).toBe(fixtures[i].trimEnd());
    },
  );

  it.each(['out.hex', 'out.s19'] as const)('read back as the image that was given to the tool (%s)', (output) => {
    const read = output === 'out.hex' ? readIntelHex : readSRecord;
    for (const [i, { image, output: written }] of RECORD_COMMANDS.entries()) {
      const lines = fixtures[i].split('\n').slice(2).join('\n');
      if (written !== output || lines.trim() === '') continue;
      const result = read(lines, { startAddress: image.startAddress, byteCount: image.bytes.length }, 0);
      expect(result.kind === 'read' && result.memory.bytes).toEqual(image.bytes);
    }
  });
});

describe.runIf(hasTools)('records of the tools on this machine', () => {
  it.each(RECORD_COMMANDS.map((command) => [command.image.bytes.length, commandLine(command), command] as const))(
    'equal ours byte for byte: %i bytes by %s',
    (_bytes, _line, command) => {
      expect(runCommand(command) === command.write()).toBe(true);
    },
  );
});

describe('record writers and readers', () => {
  it('return any image in either style, with no byte absent', () => {
    fc.assert(
      fc.property(anImage, aStyle, fc.nat(0xffff), (image, style, executionStart) => {
        const window = { startAddress: image.startAddress, byteCount: image.bytes.length };
        const texts = [
          readIntelHex(writeIntelHex(image, { style, executionStart }), window, 0),
          readSRecord(writeSRecord(image, { style, executionStart, header: 'tern 7' }), window, 0),
        ];
        for (const read of texts) {
          if (read.kind === 'refused') throw new Error(read.problems[0].message);
          expect(read.memory.bytes).toEqual(image.bytes);
          expect(image.bytes.every((_, i) => read.memory.isPresent(i))).toBe(true);
        }
      }),
    );
  });

  it('take lower case, any line end, blank lines and lines without a last end', () => {
    fc.assert(
      fc.property(anImage, fc.constantFrom('\n', '\r\n', '\r', '\n\n', ' \n\t'), (image, lineEnd) => {
        const window = { startAddress: image.startAddress, byteCount: image.bytes.length };
        const altered = (text: string) => text.trim().toLowerCase().split('\n').join(lineEnd);
        const hex = readIntelHex(altered(writeIntelHex(image)), window, 0);
        expect(hex.kind === 'read' && hex.memory.bytes).toEqual(image.bytes);
        const srec = readSRecord(altered(writeSRecord(image)), window, 0);
        expect(srec.kind === 'read' && srec.memory.bytes).toEqual(image.bytes);
      }),
    );
  });

  it('never let a changed digit through as other bytes of a whole image', () => {
    const digits = '0123456789ABCDEF';
    fc.assert(
      fc.property(
        anImage,
        aStyle,
        fc.nat(),
        fc.integer({ min: 1, max: 15 }),
        fc.boolean(),
        (image, style, at, by, isHex) => {
          const text = isHex ? writeIntelHex(image, { style }) : writeSRecord(image, { style });
          const places = [...text.matchAll(/[0-9A-F]/g)].map((match) => match.index);
          const place = places[at % places.length];
          const digit = digits[(digits.indexOf(text[place]) + by) % 16];
          const damaged = text.slice(0, place) + digit + text.slice(place + 1);
          const window = { startAddress: image.startAddress, byteCount: image.bytes.length };
          const read = (isHex ? readIntelHex : readSRecord)(damaged, window, 0);
          if (read.kind === 'refused') return;
          // No checksum covers the type digit of an S-record. S1 read as S2 moves its data, but leaves a byte absent.
          if (image.bytes.every((_, i) => read.memory.isPresent(i))) expect(read.memory.bytes).toEqual(image.bytes);
        },
      ),
      { numRuns: 500 },
    );
  });
});
