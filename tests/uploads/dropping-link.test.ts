import { beforeAll, describe, expect, it } from 'vitest';
import { type DroppingUpload, uploadOverDroppingLink } from './dropping-upload.ts';

const MIB = 1024 ** 2;

/** `npm run soak:upload` does the same with one gibibyte. */
describe('64 MiB over a link that breaks every 4 MiB', () => {
  let result: DroppingUpload;
  beforeAll(async () => {
    result = await uploadOverDroppingLink({ sizeBytes: 64 * MIB, cutAfterBytes: 4 * MIB });
  });

  it('arrive as one log, byte for byte', () => {
    expect(result.output).toMatch(/sent {6}long-drive\.csv/);
    expect(result.exitCode).toBe(0);
    expect(result.logs.map(({ sha256 }) => sha256)).toEqual([result.sentSha256]);
    expect(result.keptSha256).toBe(result.sentSha256);
  });

  it('came over a link that did break, else this proves nothing', () => {
    expect(result.cutCount).toBeGreaterThanOrEqual(16);
  });

  it('are never held in the memory of the server', () => {
    expect(result.peakMemoryBytes).toBeLessThan(300 * MIB);
  });
});
