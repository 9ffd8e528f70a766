import { createHash, createPublicKey, verify } from 'node:crypto';
import type { OfferResponse, ReleaseLooksResponse, ReleaseResponse } from '@syncline/contract';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type { Client } from './support/client.js';
import { type Club, contentWith, drive, foundClub, made } from './support/club.js';
import { approve, aRelease, confirmedCar } from './support/release-cases.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

const HALF = { size: { kind: 'share', share: 0.5 }, minShifts: 1, minVehicles: 1 };
const ALL = { size: { kind: 'share', share: 1 }, minShifts: 0, minVehicles: 0 };

let server: TestServer;
let club: Club;
let contentHash: string;
const begin = async () => {
  server = await startServer();
  club = await foundClub(server);
  contentHash = await approve(club, club.revisionIds[1]);
};
const end = () => server.close();

const draft = (change: object = {}): Promise<ReleaseResponse> =>
  made(club.as.maintainer.post('/releases', aRelease(club, change)));
const act = (releaseId: string, name: string, reason = 'because') =>
  club.as.maintainer.post(`/releases/${releaseId}/acts`, { act: name, reason });
const get = (releaseId: string): Promise<ReleaseResponse> => made(club.as.maintainer.get(`/releases/${releaseId}`));
const offer = (client: Client, vehicleId: string): Promise<OfferResponse> =>
  made(client.get(`/vehicles/${vehicleId}/offer`));
const download = (client: Client, vehicleId: string, format = 'document') =>
  client.get(`/vehicles/${vehicleId}/offer/download?format=${format}`);
const ownerOf = (vehicleId: string) => (vehicleId === club.vehicleId ? club.as.tester : club.as.otherTester);

describe('a draft of a release', () => {
  beforeAll(begin);
  afterAll(end);

  it('is refused for content that is not approved, whatever else of its line is', async () => {
    const { id } = await made(
      club.as.maintainer.post(`/calibrations/${club.calibrationId}/revisions`, {
        parentId: club.revisionIds[1],
        message: 'a little firmer',
        content: contentWith(331),
      }),
    );
    const refused = await club.as.maintainer.post('/releases', aRelease(club, { revisionId: id }));
    expect(refused.json()).toMatchObject({ status: 422, code: 'release.notApproved' });
  });

  it.each([
    ['that do not grow', [HALF, HALF, ALL]],
    ['that leave cars out in the end', [HALF]],
  ])('is refused with stages %s', async (_name, stages) => {
    const refused = await club.as.maintainer.post('/releases', aRelease(club, { stages }));
    expect(refused.json()).toMatchObject({ code: 'release.stages' });
  });

  it('is offered to no one, and tells who its cohort would be', async () => {
    const release = await draft();
    expect(release).toMatchObject({ state: 'draft', cohortCount: 2, taken: 0, contentHash });
    expect(await offer(club.as.tester, club.vehicleId)).toMatchObject({ kind: 'none', target: null });
    const refused = await download(club.as.tester, club.vehicleId);
    expect(refused.json()).toMatchObject({ code: 'offer.refused', findings: [{ code: 'notOffered' }] });
  });

  it('has in its cohort only cars that may have the revision, with the reasons against the others', async () => {
    const unverified = await made(
      club.as.tester.post('/vehicles', { ...(await carOf(club.vehicleId)), title: 'Label only', platformId: 'skua' }),
    );
    const preview = await made(club.as.maintainer.get(`/releases/cohort?revision=${club.revisionIds[1]}`));
    expect(preview.cars).toMatchObject([
      { title: 'Camper van', isIn: true, reasons: [] },
      { vehicleId: unverified.id, isIn: false, reasons: [{ code: 'dialectNotCleared' }] },
      { title: 'Pick-up', isIn: true },
    ]);
    await made(club.as.maintainer.put(`/vehicles/${club.vehicleId}/tags`, { tags: ['towing', 'winter', 'towing'] }));
    const tagged = await made(
      club.as.maintainer.get(`/releases/cohort?revision=${club.revisionIds[1]}&tags=towing&dialects=sand`),
    );
    expect(tagged.cars.filter(({ isIn }: { isIn: boolean }) => isIn)).toMatchObject([{ title: 'Camper van' }]);
    expect(tagged.choices).toMatchObject({ tags: ['towing', 'winter'], dialects: ['sand'], engines: ['2.0 diesel'] });
  });
});

const carOf = async (vehicleId: string) => {
  const { engine, massKg, ratedInputTorqueNm, inputInertiaKgM2, tyreRadiusM, finalDriveRatio } = await made(
    club.as.maintainer.get(`/vehicles/${vehicleId}`),
  );
  return {
    engine,
    massKg,
    ratedInputTorqueNm,
    inputInertiaKgM2,
    tyreRadiusM,
    finalDriveRatio,
    declaredDialect: 'sand',
  };
};

describe('a release on its way', () => {
  beforeAll(begin);
  afterAll(end);

  let release: ReleaseResponse;
  let first: string;
  let second: string;

  it('begins with the first stage: one car of two is offered it, and its file is signed, carries its hash and is recorded', async () => {
    const { id } = await draft({ stages: [HALF, ALL] });
    release = await made(act(id, 'start', ''));
    expect(release).toMatchObject({ state: 'running', stage: 0, taken: 1, stages: [{ cars: 1 }, { cars: 2 }] });
    [first, second] = release.cars.map(({ vehicleId }) => vehicleId);
    expect(await offer(ownerOf(first), first)).toMatchObject({
      kind: 'install',
      reasons: [],
      release: { words: expect.stringContaining('Firmer') },
      target: { contentHash, formats: ['document', 'csv', 'tsv'] },
    });
    expect(await offer(ownerOf(second), second)).toMatchObject({ kind: 'none' });

    const file = await download(ownerOf(first), first, 'csv');
    expect(file.statusCode).toBe(200);
    const { publicKeyPem } = await made(club.as.tester.get('/signing-key'));
    const signature = String(file.headers['syncline-signature']).replace('ed25519=', '');
    expect(verify(null, file.rawPayload, createPublicKey(publicKeyPem), Buffer.from(signature, 'base64'))).toBe(true);
    const sha256 = createHash('sha256').update(file.rawPayload).digest('hex');
    expect(file.headers).toMatchObject({ 'x-content-sha256': sha256, 'syncline-content-hash': contentHash });
    expect((await get(id)).downloads).toMatchObject([
      { vehicleId: first, contentHash, fileSha256: sha256, format: 'csv' },
    ]);
    const entries = server.store.read.audit.list({ limit: 20 }).items;
    expect(entries.find(({ action }) => action === 'release.download')?.detail).toContain(sha256);
  });

  it('answers another tester and a car out of the stage as the rules say', async () => {
    expect((await download(ownerOf(second), first)).statusCode).toBe(404);
    expect((await download(ownerOf(second), second)).json()).toMatchObject({ code: 'offer.refused' });
    for (const path of ['export', 'content', 'signature']) {
      const refused = await ownerOf(first).get(`/revisions/${club.revisionIds[1]}/${path}`);
      expect(refused.json()).toMatchObject({ code: 'session.forbidden' });
    }
  });

  it('takes the confirmation of exactly what was offered, and enters it with the car', async () => {
    const wrong = await ownerOf(first).post(`/vehicles/${first}/offer/answer`, {
      answer: 'installed',
      contentHash: 'f'.repeat(64),
    });
    expect(wrong.json()).toMatchObject({ code: 'offer.otherContent' });
    const answered = await made(
      ownerOf(first).post(`/vehicles/${first}/offer/answer`, {
        answer: 'installed',
        contentHash,
        note: 'on the bench',
      }),
    );
    expect(answered).toMatchObject({ kind: 'current', runs: { source: 'entered', contentHash } });
    const { cars, events } = await get(release.id);
    expect(cars[0]).toMatchObject({ vehicleId: first, answer: 'installed', answerNote: 'on the bench', runsIt: true });
    expect(events.map(({ kind }) => kind)).toEqual(['draft', 'start', 'installed']);
  });

  it('shows where the drive of a car says something else than its person', async () => {
    const csv = `# calibration: Shore r1\n${syntheticDriveCsv({ offsetRpm: 3 })}`;
    server.time.nowMs += 60_000;
    const log = await drive(server, ownerOf(first), first, csv);
    expect(log).toMatchObject({ state: 'ready', revisionId: club.revisionIds[0] });
    const seen = await offer(ownerOf(first), first);
    expect(seen).toMatchObject({ kind: 'install', runs: { source: 'log', label: 'Shore r1', logId: log.id } });
    expect(seen.runs.disagreement).toContain('Shore r2 is entered');
    expect((await get(release.id)).cars[0].runs.disagreement).toContain('Shore r2 is entered');
  });

  it('goes no further without the evidence that the stage asks for', async () => {
    expect((await act(release.id, 'widen')).json()).toMatchObject({ code: 'release.evidenceMissing' });
    server.time.nowMs += 60_000;
    const csv = `# calibration: ${contentHash.slice(0, 10)}\n${syntheticDriveCsv({ offsetRpm: 4 })}`;
    await drive(server, ownerOf(first), first, csv);
    expect((await get(release.id)).evidence.vehicles).toBe(1);
    const looks: ReleaseLooksResponse = await made(club.as.maintainer.get(`/releases/${release.id}/looks`));
    expect(looks.items.at(-1)).toMatchObject({ verdict: 'insufficient' });
    expect(looks.items.at(-1)?.parts).toHaveLength(2 * (1 + looks.loadBands.length));
    const widened = await made(act(release.id, 'widen', ''));
    expect(widened).toMatchObject({ state: 'running', stage: 1, taken: 2 });
  });

  it('takes in a car that joins the cohort later', async () => {
    const late = await confirmedCar(club, club.as.otherTester, { title: 'Late dune buggy' });
    expect(await offer(club.as.otherTester, late)).toMatchObject({ kind: 'install' });
    const { events, cars } = await get(release.id);
    expect(events.at(-1)).toMatchObject({ kind: 'join', reason: 'Late dune buggy', byName: 'the server' });
    expect(cars.find(({ vehicleId }) => vehicleId === late)?.stage).toBe(1);
  });

  it('is looked through for cars that join once for each change, and not with each look at an offer', async () => {
    const looks = vi.spyOn(server.store.read.releases, 'listWatched');
    const seen = async () => {
      looks.mockClear();
      await offer(ownerOf(first), first);
      return looks.mock.calls.length;
    };
    await seen();
    expect(await seen()).toBe(0);
    await made(club.as.maintainer.put(`/vehicles/${first}/tags`, { tags: ['towing'] }));
    expect(await seen()).toBe(1);
    expect(await seen()).toBe(0);
    // What is installed from a later instant on changes without a write.
    server.time.nowMs += 60_000;
    expect(await seen()).toBe(1);
    looks.mockRestore();
  });

  it('is refused for a car whose dialect turns out to be another, although it was offered', async () => {
    await made(
      club.as.maintainer.post(`/vehicles/${second}/observations`, {
        dialect: 'shingle',
        source: 'capture',
        note: 'the label lies',
      }),
    );
    const refused = await download(ownerOf(second), second);
    expect(refused.json()).toMatchObject({ code: 'offer.refused', findings: [{ code: 'dialectNotCleared' }] });
  });

  it('needs a reason to be held, is then refused to everybody, and goes on where it was', async () => {
    expect((await act(release.id, 'hold', '')).json()).toMatchObject({ code: 'release.reasonMissing' });
    await made(act(release.id, 'hold', 'two cars flare in the cold'));
    expect(await offer(ownerOf(first), first)).toMatchObject({
      kind: 'held',
      release: { reason: 'two cars flare in the cold' },
      reasons: [{ code: 'held' }],
    });
    expect((await download(ownerOf(first), first)).json()).toMatchObject({ findings: [{ code: 'held' }] });
    expect((await act(release.id, 'widen')).json()).toMatchObject({ code: 'release.wrongState' });
    expect(await made(act(release.id, 'resume', 'both had low fluid'))).toMatchObject({ state: 'running', stage: 1 });
    expect((await download(ownerOf(first), first)).statusCode).toBe(200);
  });

  it('is complete after its last stage', async () => {
    expect(await made(act(release.id, 'widen', ''))).toMatchObject({ state: 'complete', stage: 1 });
  });

  it('when recalled, tells who runs it what to go back to, and offers that alone', async () => {
    await made(act(release.id, 'recall', 'third gear flares under load'));
    const seen = await offer(ownerOf(first), first);
    expect(seen).toMatchObject({
      kind: 'goBack',
      release: { state: 'recalled', reason: 'third gear flares under load' },
      target: { revisionId: club.revisionIds[0] },
      reasons: [],
    });
    const file = await download(ownerOf(first), first);
    expect(file.headers['syncline-content-hash']).toBe(seen.target?.contentHash);
    const back = await made(
      ownerOf(first).post(`/vehicles/${first}/offer/answer`, {
        answer: 'installed',
        contentHash: seen.target?.contentHash,
      }),
    );
    expect(back).toMatchObject({ kind: 'none', runs: { revisionId: club.revisionIds[0] } });
    const { cars } = await get(release.id);
    expect(cars.find(({ vehicleId }) => vehicleId === first)).toMatchObject({
      runsIt: false,
      answerNote: 'went back to Shore r1',
    });
    for (const name of ['start', 'widen', 'hold', 'resume', 'recall']) {
      expect((await act(release.id, name)).json()).toMatchObject({ code: 'release.wrongState' });
    }
  });
});

describe('the monitor', () => {
  beforeAll(begin);
  afterAll(end);

  it('holds a release by itself when its cars flare more than under the revision replaced, with the figures', async () => {
    const { id } = await draft();
    const [olderId, newerId] = club.revisionIds;
    const upload = async (flareRpm: number, revision: string) => {
      server.time.nowMs += 1000;
      drives += 1;
      const csv = syntheticDriveCsv({ offsetRpm: drives, flareRpm, rateHz: 50 });
      await made(club.as.tester.upload(club.vehicleId, csv, { revision }));
    };
    let drives = 0;
    for (let i = 0; i < 24; i++) await upload(i % 6 === 0 ? 300 : 0, olderId);
    await server.jobs.idle();
    await made(act(id, 'start', ''));
    for (let i = 0; i < 24; i++) await upload(i % 6 === 0 ? 0 : 300, newerId);
    await server.jobs.idle();
    const held = await get(id);
    expect(held.state).toBe('held');
    expect(held.lastLook?.verdict).toBe('harm');
    const event = held.events.at(-1);
    expect(event).toMatchObject({ kind: 'hold', byName: 'the server' });
    expect(event?.reason).toMatch(/The monitor holds it\. Raised: flare .* percentage points .* of \d+ shifts/);
    expect((await act(id, 'resume')).json()).toMatchObject({ code: 'release.wrongState' });
    expect(await offer(club.as.tester, club.vehicleId)).toMatchObject({ kind: 'held' });
    // The same evidence again is no new look.
    const before = (await made(club.as.maintainer.get(`/releases/${id}/looks`))).items.length;
    await server.jobs.idle();
    expect((await made(club.as.maintainer.get(`/releases/${id}/looks`))).items).toHaveLength(before);
  });
});
