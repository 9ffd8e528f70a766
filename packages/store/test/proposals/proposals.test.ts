import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect, it } from 'vitest';
import type { ProposalInputs, ProposalResult, Store } from '../../src/index.js';
import { aClub, aContent, aLog, aNewShift, analyse, aProfile, aRevision, SYSTEM } from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

/** Two cars that run the first revision of a club with two. */
function aFleet(store: Store) {
  const { maintainer, calibrationId, revisionId } = aClub(store);
  const second = aRevision(store, { calibrationId, parentId: revisionId, content: aContent(2) });
  const vehicleIds = ['Blue van', 'Red van'].map((title) => {
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile({ title }) });
    store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId, sinceAtMs: 0 });
    return vehicleId;
  });
  return { calibrationId, revisions: [revisionId, second] as const, vehicleIds };
}

const versionsOf = (store: Store, revisionIds: readonly string[]) =>
  store.read.proposals.evidence(revisionIds).map(({ version }) => version);

it('a change of a car’s shifts is a new state of its evidence and of no other car’s', () => {
  const { store } = openTestStore();
  const { vehicleIds, revisions } = aFleet(store);
  const [blue, red] = vehicleIds;
  analyse(store, aLog(store, { vehicleId: red, seed: 1 }), [aNewShift()]);
  const logId = aLog(store, { vehicleId: blue, seed: 2 });
  expect(versionsOf(store, revisions)).toHaveLength(1);
  const states = [[aNewShift(), aNewShift()], [aNewShift({ grades: ['flare'] })], []].map((shifts) => {
    analyse(store, logId, shifts);
    return store.read.proposals.evidence(revisions);
  });
  const ofCar = (id: string) => states.map((state) => state.find(({ vehicleId }) => vehicleId === id)?.version);
  expect(new Set(ofCar(blue)).size).toBe(3);
  expect(new Set(ofCar(red)).size).toBe(1);
});

it('shifts that move to another revision change the evidence of both', () => {
  const { store } = openTestStore();
  const { vehicleIds, revisions } = aFleet(store);
  const [vehicleId] = vehicleIds;
  analyse(store, aLog(store, { vehicleId, seed: 1 }), [aNewShift(), aNewShift()]);
  const [before] = versionsOf(store, [revisions[0]]);
  store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId: revisions[1], sinceAtMs: 1 });
  expect(versionsOf(store, [revisions[0]])[0]).toBeGreaterThan(before);
  expect(versionsOf(store, [revisions[1]])).toHaveLength(1);
  expect(store.read.proposals.evidenceShifts(vehicleId, revisions[0])).toEqual([]);
  expect(store.read.proposals.evidenceShifts(vehicleId, revisions[1])).toHaveLength(2);
});

it('learnt values are evidence too, newest reading first', () => {
  const { store } = openTestStore();
  const { vehicleIds, revisions } = aFleet(store);
  const [vehicleId] = vehicleIds;
  const [revisionId] = revisions;
  const add = (readAtMs: number) =>
    store.proposals.addAdaptation({
      actor: SYSTEM,
      vehicleId,
      revisionId,
      readAtMs,
      note: '',
      document: { values: [{ clutch: 'A', percent: 2 }], worthShifts: 10 },
    });
  add(2000);
  add(1000);
  expect(versionsOf(store, revisions)).toEqual([2]);
  expect(store.read.proposals.adaptations(vehicleId).map(({ readAtMs }) => readAtMs)).toEqual([2000, 1000]);
});

const INPUTS = (baseRevisionId: string): ProposalInputs => ({
  baseRevisionId,
  baseContentHash: 'b'.repeat(64),
  layoutVersion: 1,
  subject: 'rule:apply',
  estimatorVersion: 1,
  analysisVersion: 1,
  gradingPolicyVersion: 1,
  policy: {
    minShifts: 12,
    minVehicles: 3,
    maxSdLn: 0.06,
    leastSignal: 1,
    maxStep: 0.08,
    maxFlareRate: 0.02,
    carriesThin: false,
    useEarlierRevisions: false,
  },
  evidence: [],
});

const result = (vehicleId: string): ProposalResult => ({
  nodes: [],
  expectedRates: [],
  components: { residualSd: 0.1, vehicleSd: 0.05, vehicleShiftSd: 0.02, roughnessSd: { base: 0.1, multiplier: 0.1 } },
  response: { slope: 1, standardError: 0.3 },
  isConverged: true,
  shifts: 2,
  vehicles: [
    {
      vehicleId,
      trim: { vehicleId, trimLn: 0.04, sdLn: 0.01, surprise: 1, byKind: [] },
      shifts: 2,
      gainByKind: {},
      shiftsByKind: {},
      odd: [],
    },
  ],
  moments: [],
  shiftVersions: [],
});

/** A proposal that is made, with moments of one car. */
function aProposal(store: Store) {
  const { calibrationId, revisions, vehicleIds } = aFleet(store);
  const [revisionId] = revisions;
  const [vehicleId] = vehicleIds;
  analyse(store, aLog(store, { vehicleId, seed: 1 }), [aNewShift()]);
  const request = { actor: SYSTEM, calibrationId, inputs: INPUTS(revisionId), inputHash: 'a'.repeat(64) };
  const { proposalId } = store.proposals.request({ ...request, isByItself: false });
  store.jobs.enqueue({ kind: 'makeProposal', inputKey: proposalId });
  const claimed = store.jobs.claim({ leaseOwner: 'worker', leaseMs: 60_000 });
  if (!claimed) throw new Error('no job');
  const [evidence] = store.read.proposals.evidence([revisionId]);
  const key = { ...evidence, subject: 'rule:apply', estimatorVersion: 1 };
  const moments = {
    ...key,
    sha256: 'c'.repeat(64),
    shiftCount: 1,
    versions: ['analysis 1'],
    bytes: Uint8Array.of(1, 2, 3),
    rows: Uint8Array.of(4, 5),
  };
  const tally = { raised: 0, lowered: 0, left: 0, shifts: 2, vehicles: 1, oddVehicles: 0 };
  store.proposals.complete({
    lease: claimed.lease,
    proposalId,
    moments: [moments],
    result: result(vehicleId),
    resultHash: 'd'.repeat(64),
    tally,
  });
  return { request, proposalId, vehicleId, revisionId, key, moments, lease: claimed.lease };
}

it('the same inputs are the same proposal', () => {
  const { store } = openTestStore();
  const { request, proposalId } = aProposal(store);
  expect(store.proposals.request({ ...request, isByItself: true })).toEqual({ proposalId, isNew: false });
  expect(store.read.proposals.find(proposalId)).toMatchObject({ state: 'ready', isByItself: false });
});

it('moments are kept as they are until the evidence of the car has another state', () => {
  const { store } = openTestStore();
  const { key, moments, vehicleId, revisionId } = aProposal(store);
  const { sha256, shiftCount, versions, bytes, rows } = moments;
  expect(store.read.proposals.findMoments(key)).toEqual({ sha256, shiftCount, versions, bytes, rows });
  expect(store.read.proposals.findMoments({ ...key, estimatorVersion: 2 })).toBeUndefined();
  analyse(store, aLog(store, { vehicleId, seed: 2 }), [aNewShift()]);
  const [{ version }] = store.read.proposals.evidence([revisionId]);
  expect(store.read.proposals.findMoments({ ...key, version })).toBeUndefined();
});

it('a car has the trims of the newest proposal that knows it, with the spread of the fleet', () => {
  const { store } = openTestStore();
  const { vehicleId, proposalId } = aProposal(store);
  expect(store.read.proposals.trims(vehicleId)).toMatchObject([
    { proposalId, trim: { trimLn: 0.04, sdLn: 0.01 }, vehicleSd: 0.05, fleetVehicles: 1 },
  ]);
});

it('a job whose lease is lost leaves no result', () => {
  const { store } = openTestStore();
  const { lease, proposalId, vehicleId } = aProposal(store);
  const tally = { raised: 1, lowered: 0, left: 0, shifts: 2, vehicles: 1, oddVehicles: 0 };
  const again = { lease, proposalId, moments: [], result: result(vehicleId), resultHash: 'e'.repeat(64), tally };
  expect(() => store.proposals.complete(again)).toThrow(/no longer held/);
  expect(store.read.proposals.find(proposalId)?.resultHash).toBe('d'.repeat(64));
});

it('a rejected proposal is rejected once and for good', () => {
  const { store } = openTestStore();
  const { proposalId } = aProposal(store);
  store.proposals.reject({ actor: SYSTEM, proposalId, reason: 'too bold' });
  expect(() => store.proposals.reject({ actor: SYSTEM, proposalId, reason: 'again' })).toThrow(
    /test rejected it: too bold/,
  );
  expect(store.read.proposals.find(proposalId)?.decisions).toMatchObject([
    { decision: 'rejected', reason: 'too bold' },
  ]);
});

it('what a proposal is made of and says can be neither changed nor removed', () => {
  const { store, folder } = openTestStore();
  const { proposalId } = aProposal(store);
  store.proposals.reject({ actor: SYSTEM, proposalId, reason: 'too bold' });
  store.close();
  const sqlite = new Database(join(folder, 'syncline.db'));
  try {
    expect(() => sqlite.exec("UPDATE proposals SET input_hash = 'x'")).toThrow(/is never changed/);
    expect(() => sqlite.exec("UPDATE proposals SET state = 'failed'")).toThrow(/never changed once it is made/);
    expect(() => sqlite.exec('DELETE FROM proposal_decisions')).toThrow(/never removed/);
    expect(() => sqlite.exec("UPDATE proposal_decisions SET reason = ''")).toThrow(/is never changed/);
    sqlite.pragma('foreign_keys = OFF');
    expect(() => sqlite.exec('DELETE FROM proposals')).toThrow(/never removed/);
  } finally {
    sqlite.close();
  }
});
