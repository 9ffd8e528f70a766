import { mkdirSync, mkdtempSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, relative } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { findFiles } from '../src/find-files.js';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'syncline-find-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function write(name: string, ageS = 0): string {
  const path = join(folder, name);
  mkdirSync(join(path, '..'), { recursive: true });
  writeFileSync(path, name);
  utimesSync(path, 1e9 - ageS, 1e9 - ageS);
  return path;
}

const names = (patterns: readonly string[], paths = [folder]) =>
  findFiles(paths, patterns).map(({ path }) => relative(folder, path));

describe('the files of a folder', () => {
  it.each([
    ['*.csv', ['a.csv', 'B.CSV', 'sub/c.csv']],
    ['?.csv', ['a.csv', 'B.CSV', 'sub/c.csv']],
    ['a*', ['a.csv', 'a+b(1).gz']],
    ['a+b(1).gz', ['a+b(1).gz']],
    ['*', ['a.csv', 'B.CSV', 'a+b(1).gz', 'sub/c.csv']],
    ['csv', []],
  ])('that match %s are found in all subfolders, hidden ones left alone', (pattern, expected) => {
    for (const name of ['a.csv', 'B.CSV', 'a+b(1).gz', 'sub/c.csv', '.hidden.csv', '.git/d.csv']) write(name);
    expect(names([pattern]).sort()).toEqual([...expected].sort());
  });

  it('come oldest first, each once however often it is named', () => {
    const [newer, older] = [write('newer.csv', 1), write('older.csv', 9)];
    expect(names(['*.csv'], [newer, folder, older])).toEqual(['older.csv', 'newer.csv']);
  });

  it('that is named itself is taken whatever its name', () => {
    expect(names(['*.csv'], [write('drive.rec')])).toEqual(['drive.rec']);
  });

  it('of a path that is not there are a mistake of the user', () => {
    expect(() => names(['*'], [join(folder, 'nowhere')])).toThrow(
      expect.objectContaining({ exitCode: 2, message: expect.stringContaining('nowhere') }),
    );
  });
});
