import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Client } from './support/client.js';
import { type Club, foundClub, made } from './support/club.js';
import { beginUpload } from './support/routes.js';
import { startServer, type TestServer } from './support/server.js';

const send = (client: Client, vehicleId: string, sizeBytes: number) =>
  client.post('/uploads', undefined, { ...beginUpload(vehicleId), 'upload-length': String(sizeBytes) });

describe('the room of a tester', () => {
  let small: TestServer;
  let people: Club;
  beforeAll(async () => {
    small = await startServer({ settings: { testerQuotaBytes: 1000 } });
    people = await foundClub(small);
  });
  afterAll(() => small.close());

  it('holds the originals and what is announced, whoever sends it; another tester has room of her own', async () => {
    const { tester: owner, maintainer, otherTester } = people.as;
    await made(owner.upload(people.vehicleId, Buffer.alloc(300, 'a')));
    expect((await send(owner, people.vehicleId, 600)).statusCode).toBe(201);
    const over = await send(maintainer, people.vehicleId, 101);
    expect(over.json()).toMatchObject({ status: 413, code: 'quota.exceeded' });
    expect(over.json().detail).toMatch(/300 bytes.*600.*over 1000/);
    expect((await send(owner, people.vehicleId, 100)).statusCode).toBe(201);
    expect((await send(otherTester, people.otherVehicleId, 1000)).statusCode).toBe(201);
    expect((await made(maintainer.get(`/uploads?vehicle=${people.vehicleId}`))).room).toEqual({
      storedBytes: 300,
      pendingBytes: 700,
      quotaBytes: 1000,
      maxFileBytes: 4 * 1024 ** 3,
    });
  });

  it('is asked for by uploads in one go as well, whether they say their length or not', async () => {
    const said = await people.as.tester.upload(people.vehicleId, Buffer.alloc(50, 'b'));
    expect(said.json()).toMatchObject({ status: 413, code: 'quota.exceeded' });
    const packed = gzipSync(Buffer.alloc(5000, 'c'));
    const query = `vehicle=${people.vehicleId}&fileName=c.csv`;
    const unsaid = await people.as.tester.post(`/logs?${query}`, packed, {
      'content-type': 'text/csv',
      'content-encoding': 'gzip',
    });
    expect(unsaid.json()).toMatchObject({ status: 413, code: 'quota.exceeded' });
  });
});

describe('a server short of space', () => {
  it('takes no upload that would not fit', async () => {
    const full = await startServer({ settings: { minFreeBytes: 1e18 } });
    try {
      const people = await foundClub(full);
      const response = await send(people.as.tester, people.vehicleId, 10);
      expect(response.json()).toMatchObject({ status: 507, code: 'storage.full' });
    } finally {
      await full.close();
    }
  });
});
