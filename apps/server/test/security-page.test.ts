import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const SERVER = fileURLToPath(new URL('..', import.meta.url));
const PAGE = readFileSync(join(SERVER, 'docs/security.md'), 'utf8');
const STATES = ['met', 'partly', 'not met', '–', 'operator', 'met over HTTPS'];

/** How many sections each chapter of ASVS 5.0 has, from memory. */
const SECTIONS: Readonly<Record<number, number>> = {
  1: 5,
  2: 4,
  3: 7,
  4: 4,
  5: 4,
  6: 8,
  7: 6,
  8: 4,
  9: 2,
  10: 7,
  11: 7,
  12: 3,
  13: 4,
  14: 3,
  15: 4,
  16: 5,
};

interface Row {
  readonly numbers: readonly string[];
  readonly state: string;
  readonly where: string;
}

const rows: readonly Row[] = PAGE.split('\n')
  .filter((line) => /^\| \d+\./.test(line))
  .map((line) => {
    const [, numbers, , state, where] = line.split('|').map((cell) => cell.trim());
    return { numbers: numbers.split(', ').flatMap(eachOf), state, where };
  });

/** `7.1.1–7.1.3` as its three numbers. */
function eachOf(range: string): string[] {
  const ends = /^(\d+\.\d+\.)(\d+)–\1?(\d+)$/.exec(range);
  if (!ends) return [range];
  const [, section, first, last] = ends;
  return Array.from({ length: Number(last) - Number(first) + 1 }, (_, i) => `${section}${Number(first) + i}`);
}

describe('the page that holds the server against the standard', () => {
  it('goes through every section of every chapter', () => {
    for (const [chapter, count] of Object.entries(SECTIONS)) {
      expect(PAGE).toContain(`\n## V${chapter} `);
      for (let section = 1; section <= count; section++) {
        const number = `${chapter}.${section}`;
        const isNamed = rows.some(({ numbers }) => numbers.some((found) => found.startsWith(`${number}.`)));
        expect(isNamed || PAGE.includes(`\n${number} (`), number).toBe(true);
      }
    }
    expect(PAGE).toContain('\n## V17 ');
  });

  it('judges each requirement once, in a word that it explains, and says where', () => {
    const numbers = rows.flatMap((row) => row.numbers);
    expect(numbers.filter((number, index) => numbers.indexOf(number) !== index)).toEqual([]);
    for (const { numbers: named, state, where } of rows) {
      expect(STATES, named.join()).toContain(state);
      if (state !== 'met') expect(where, named.join()).not.toBe('');
    }
  });

  it('names files that there are', () => {
    const named = [...PAGE.matchAll(/`((?:apps|packages|plugins|routes|services|workers|test|deploy)\/[\w./-]*)`/g)];
    expect(named.length).toBeGreaterThan(20);
    for (const [, path] of named) {
      const places = [join(SERVER, path), join(SERVER, 'src', path), join(SERVER, '../..', path)];
      expect(places.some(existsSync), path).toBe(true);
    }
  });

  it('tells at the end of everything that is not met', () => {
    const lacks = PAGE.slice(PAGE.indexOf('## What lacks'));
    for (const { numbers, state } of rows.filter((row) => row.state === 'not met')) {
      const isTold = numbers.some((number) => {
        const [chapter, section] = number.split('.');
        return lacks.includes(number) || new RegExp(`\\b${chapter}\\.${section}\\b`).test(lacks);
      });
      expect(isTold, `${numbers.join()} is ${state}`).toBe(true);
    }
  });
});
