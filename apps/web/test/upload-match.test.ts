import type { Upload } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { differences, findUnfinished } from '../src/api/upload-match.js';

const begun: Upload = {
  id: 'upload-1',
  vehicleId: 'car-1',
  vehicleTitle: 'Camper van',
  fileName: 'drive.csv',
  sizeBytes: 1000,
  receivedBytes: 400,
  drivenAt: null,
  revisionId: null,
  sha256: null,
  head: 'a'.repeat(64),
  state: 'receiving',
  logId: null,
  isDuplicate: false,
  twin: null,
  problem: null,
  createdAt: '2026-03-01T09:00:00.000Z',
  expiresAt: '2026-03-08T09:00:00.000Z',
};
const file = { name: 'drive.csv', size: 1000, head: 'a'.repeat(64) };

describe('a file that is chosen again', () => {
  it.each([
    ['in nothing', {}, []],
    ['in its name', { name: 'other.csv' }, ['its name is other.csv, not drive.csv']],
    ['in its size', { size: 999 }, ['it has 999 bytes, not 1000']],
    ['in its first bytes', { head: 'b'.repeat(64) }, ['it begins with other bytes']],
    ['in name and size', { name: 'x', size: 1 }, ['its name is x, not drive.csv', 'it has 1 bytes, not 1000']],
  ])('differs %s', (_, change, expected) => {
    expect(differences({ ...file, ...change }, begun)).toEqual(expected);
  });

  it('is told by name and size where the first bytes were not noted', () => {
    expect(differences({ ...file, head: 'b'.repeat(64) }, { ...begun, head: null })).toEqual([]);
  });

  it('goes on with the upload of its car that is not over', () => {
    expect(findUnfinished(file, 'car-1', [{ ...begun, id: 'x', sizeBytes: 7 }, begun])?.id).toBe('upload-1');
    expect(findUnfinished(file, 'car-2', [begun])).toBeUndefined();
    expect(findUnfinished(file, 'car-1', [{ ...begun, state: 'refused' }])).toBeUndefined();
    expect(findUnfinished(file, 'car-1', [{ ...begun, state: 'done' }])).toBeUndefined();
  });
});
