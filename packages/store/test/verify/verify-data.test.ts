import { readdirSync, readFileSync, truncateSync, unlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { aClub, analysisJob, aProfile, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS, type TestStore } from '../support/test-store.js';

/** A store with one original, and the path of its file. */
async function withOriginal(): Promise<TestStore & { readonly file: string }> {
  const opened = openTestStore({ minFreeBytes: 0 });
  const { store, folder } = opened;
  const { maintainer } = aClub(store);
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
  const blob = await store.blobs.receive(Readable.from([Buffer.from('dunlin '.repeat(500))]), { maxBytes: 1e6 });
  store.logs.add({ actor: SYSTEM, vehicleId, fileName: 'd.csv', drivenAtMs: START_MS, blob, jobFor: analysisJob });
  return { ...opened, file: join(folder, 'blobs', blob.sha256.slice(0, 2), `${blob.sha256}.gz`) };
}

describe('reading everything again', () => {
  it('finds nothing wrong with what was written', async () => {
    const { store } = await withOriginal();
    expect(await store.verifyData()).toEqual({ faults: [], remarks: [], auditHead: store.read.audit.head()?.hash });
  });

  it.each([
    ['torn, as a power cut leaves it', (file: string) => truncateSync(file, 20), /is not what was uploaded/],
    ['of other bytes', (file: string) => writeFileSync(file, flipped(readFileSync(file))), /is not what was uploaded/],
    ['gone', (file: string) => unlinkSync(file), /is missing/],
  ])('finds an original that is %s', async (_how, harm, words) => {
    const { store, file } = await withOriginal();
    harm(file);
    expect((await store.verifyData()).faults).toEqual([expect.stringMatching(words)]);
  });

  it('finds a signal file that is gone', async () => {
    const { store, folder } = await withOriginal();
    const direct = new Database(join(folder, 'syncline.db'));
    direct.exec(
      `INSERT INTO log_artefacts (log_id, signal_file, signal_ids) SELECT id, 'gone.signals', '[]' FROM logs`,
    );
    direct.close();
    expect((await store.verifyData()).faults).toEqual([expect.stringContaining('gone.signals is missing')]);
    expect(readdirSync(join(folder, 'signals'))).toEqual([]);
  });

  it('remarks a clock that went back, by how much and where, and finds nothing wrong with the data', async () => {
    const { store, clock } = await withOriginal();
    clock.nowMs += 3600_000;
    store.people.invite({ actor: SYSTEM, role: 'tester', note: '', secretHash: 'a', expiresAtMs: 9e15 });
    clock.nowMs -= 7200_000;
    store.people.invite({ actor: SYSTEM, role: 'tester', note: '', secretHash: 'b', expiresAtMs: 9e15 });
    const { faults, remarks } = await store.verifyData();
    const id = store.read.audit.head()?.id;
    expect(faults).toEqual([]);
    expect(remarks).toContain(`the clock went back by 7200 s before audit entry ${id}`);
    expect(remarks).toContainEqual(expect.stringMatching(/^audit entry \d+ is of the future, by 7200 s$/));
    expect(remarks).toContainEqual(expect.stringMatching(/^log .* was uploaded in the future$/));
  });

  it('finds an audit trail that was changed', async () => {
    const { store, folder } = await withOriginal();
    const direct = new Database(join(folder, 'syncline.db'));
    direct.exec(`DROP TRIGGER audit_no_update; UPDATE audit SET detail = 'nothing happened' WHERE id = 2`);
    direct.close();
    const { faults, auditHead } = await store.verifyData();
    expect(faults).toEqual([expect.stringMatching(/^the audit trail breaks at entry 2: /)]);
    expect(auditHead).toBeNull();
  });
});

function flipped(bytes: Buffer): Buffer {
  bytes[bytes.length - 1] ^= 1;
  return bytes;
}
