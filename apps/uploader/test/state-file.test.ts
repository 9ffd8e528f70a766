import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { StateFile } from '../src/state-file.js';

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'syncline-state-'));
  path = join(folder, 'deep', 'state.json');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const car = { server: 'https://club.example', vehicleId: 'car-1' };
const sent = { sizeBytes: 10, modifiedMs: 5, sha256: 'abc', logId: 'log-1' };

describe('what is remembered', () => {
  it('holds over a restart, for the same car on the same server only', () => {
    const first = new StateFile(path, car);
    first.noteBegun('abc', 'upload-1');
    expect(new StateFile(path, car).uploadOf('abc')).toBe('upload-1');
    first.noteSent('/logs/a.csv', sent);
    const later = new StateFile(path, car);
    expect([later.isSent('/logs/a.csv', sent), later.uploadOf('abc')]).toEqual([true, undefined]);
    for (const other of [
      { ...car, vehicleId: 'car-2' },
      { ...car, server: 'https://other.example' },
    ]) {
      expect(new StateFile(path, other).isSent('/logs/a.csv', sent)).toBe(false);
    }
  });

  it('is of a file as it was: one that changed is another one', () => {
    const state = new StateFile(path, car);
    state.noteSent('/logs/a.csv', sent);
    expect(state.isSent('/logs/a.csv', { ...sent, sizeBytes: 11 })).toBe(false);
    expect(state.isSent('/logs/a.csv', { ...sent, modifiedMs: 6 })).toBe(false);
    expect(state.isSent('/logs/b.csv', sent)).toBe(false);
  });

  it('is written whole or not at all', () => {
    new StateFile(path, car).noteSent('/logs/a.csv', sent);
    expect(readdirSync(join(folder, 'deep'))).toEqual(['state.json']);
  });

  it.each([
    ['torn', '{"version": 1, "cars"'],
    ['of another program', '{"version": 2}'],
  ])('is not guessed from a file that is %s', (_, text) => {
    const damaged = join(folder, 'state.json');
    writeFileSync(damaged, text);
    expect(() => new StateFile(damaged, car)).toThrow(expect.objectContaining({ exitCode: 2 }));
  });
});
