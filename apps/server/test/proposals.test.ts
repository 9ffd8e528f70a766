import { rmSync } from 'node:fs';
import type {
  DraftResponse,
  ProposalNodesResponse,
  ProposalOriginResponse,
  ProposalResponse,
  ProposalsResponse,
  RevisionResponse,
  VehicleTrimsResponse,
} from '@syncline/contract';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Club, drive, foundClub, LAYOUT, made } from './support/club.js';
import { drivenInProgram, drivenProgramCars, lenient } from './support/proposal-cases.js';
import { startServer, type TestServer } from './support/server.js';

let server: TestServer;
let club: Club;
let cars: Awaited<ReturnType<typeof drivenProgramCars>>;

beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  cars = await drivenProgramCars(server, club, ['Orache', 'Spurrey', 'Sedge']);
}, 60_000);
afterAll(async () => {
  const { folder } = server;
  await server.close();
  // A server that went on with the folder of another leaves it behind.
  rmSync(folder, { recursive: true, force: true });
});

const { policy: LENIENT } = lenient();

async function propose(policy: object, rest: object = {}): Promise<ProposalResponse> {
  const { maintainer } = club.as;
  const wish = { baseRevisionId: club.revisionIds[0], policy: { ...LENIENT, ...policy }, ...rest };
  const { id } = await made(maintainer.post(`/calibrations/${club.calibrationId}/proposals`, wish));
  await server.jobs.idle();
  return made(maintainer.get(`/proposals/${id}`));
}

const changing = ({ result }: ProposalResponse) => (result?.nodes ?? []).filter(({ change }) => change !== 'leave');

describe('a proposal', () => {
  it('is made from the shifts of every car, with what it is made of and how sure it is', async () => {
    const proposal = await propose({ maxStep: 0.05 });
    expect(proposal).toMatchObject({
      state: 'ready',
      baseRevisionNumber: 1,
      subject: { id: 'rule:applyPressure', unit: 'kPa' },
      tally: { shifts: 24, vehicles: 3 },
    });
    expect(proposal.evidence.map(({ vehicleId, shifts }) => ({ vehicleId, shifts }))).toEqual(
      cars.map(({ id }) => ({ vehicleId: id, shifts: 8 })),
    );
    expect(proposal.result?.nodes).toHaveLength(4 * 6 + 2);
    expect(changing(proposal).length).toBeGreaterThan(0);
    for (const { sdLn } of changing(proposal)) expect(sdLn).toBeGreaterThan(0);
    for (const node of proposal.result?.nodes ?? []) {
      if (node.change === 'leave') expect(node.reasons.length).toBeGreaterThan(0);
    }
  });

  it('is the same one for the same inputs, and another one once a drive came in', async () => {
    const first = await propose({ maxStep: 0.051 });
    const again = await propose({ maxStep: 0.051 });
    expect(again).toEqual(first);
    const [car] = cars;
    await drive(server, car.tester, car.id, drivenInProgram({ offsetRpm: 163 }));
    const later = await propose({ maxStep: 0.051 });
    expect(later.inputHash).not.toBe(first.inputHash);
    expect(later.tally?.shifts).toBe((first.tally?.shifts ?? 0) + 2);
    // Only the moments of that car are others.
    const hashes = (proposal: ProposalResponse) => proposal.evidence.map(({ momentsHash }) => momentsHash);
    expect(hashes(later).map((hash, i) => hash === hashes(first)[i])).toEqual([false, true, true]);
  });

  it('says the same again after a log was analysed anew with the same result', async () => {
    const before = await propose({ maxStep: 0.052 });
    const { items } = await made(club.as.maintainer.get(`/logs?vehicle=${cars[1].id}`));
    await made(club.as.maintainer.post(`/logs/${items[0].id}/analysis`));
    await server.jobs.idle();
    const after = await propose({ maxStep: 0.052 });
    expect(after.id).not.toBe(before.id);
    expect(after.resultHash).toBe(before.resultHash);
  });

  it.each([0.01, 0.03, 0.2])('never leaves the layout’s limits or a step of %d', async (maxStep) => {
    const proposal = await propose({ maxStep });
    const limits = new Map(LAYOUT.tables.map((table) => [table.id, table.limits]));
    for (const { tableId, presentValue, proposedValue } of proposal.result?.nodes ?? []) {
      const { min, max } = limits.get(tableId) ?? { min: 0, max: 0 };
      expect(proposedValue).toBeGreaterThanOrEqual(min);
      expect(proposedValue).toBeLessThanOrEqual(max);
      expect(Math.abs(proposedValue / presentValue - 1)).toBeLessThanOrEqual(maxStep + 1e-9);
    }
  });

  it('moves nothing without the evidence that the policy asks for', async () => {
    const proposal = await propose({ minVehicles: 4 });
    expect(proposal).toMatchObject({ state: 'ready', tally: { raised: 0, lowered: 0 } });
    expect(await club.as.maintainer.post(`/proposals/${proposal.id}/drafts`, {})).toMatchObject({ statusCode: 422 });
  });

  it('is refused where nobody drove, and about what the layout has not', async () => {
    const ask = (body: object) => club.as.maintainer.post(`/calibrations/${club.calibrationId}/proposals`, body);
    const undriven = await ask({ baseRevisionId: club.revisionIds[1], policy: { useEarlierRevisions: false } });
    expect(undriven.json()).toMatchObject({ code: 'proposal.noEvidence' });
    const unknown = await ask({ baseRevisionId: club.revisionIds[0], subject: 'rule:holdTorque' });
    expect(unknown.json()).toMatchObject({
      code: 'proposal.subjectUnknown',
      detail: expect.stringContaining('rule:apply'),
    });
    expect((await ask({ baseRevisionId: club.revisionIds[0], policy: { maxStep: 0.9 } })).statusCode).toBe(400);
  });

  it('carries what was driven under an earlier revision to the one that is to be changed', async () => {
    const later = await propose({ useEarlierRevisions: true }, { baseRevisionId: club.revisionIds[1] });
    const own = await propose({ useEarlierRevisions: false });
    const find = (proposal: ProposalResponse) => proposal.result?.nodes.find(({ shifts }) => shifts > 5);
    expect(later.state).toBe('ready');
    // The second revision commands a tenth more, so that as much more is to be taken off.
    expect((find(later)?.correctionLn ?? 0) - (find(own)?.correctionLn ?? 0)).toBeCloseTo(Math.log(300 / 330), 1);
    expect(later.result?.nodes.every(({ flareRate }) => flareRate === null)).toBe(true);
  });

  it('gives way to another one when drives came in before it was made', async () => {
    const { store } = server;
    const ready = await propose({ maxStep: 0.053 });
    const { inputs } = store.read.proposals.find(ready.id) ?? {};
    if (!inputs) throw new Error('no inputs');
    const evidence = inputs.evidence.map((own) => ({ ...own, version: own.version - 1 }));
    const actor = { kind: 'system', id: null, name: 'test', requestId: 'stale' } as const;
    const { proposalId } = store.proposals.request({
      actor,
      calibrationId: club.calibrationId,
      inputs: { ...inputs, evidence },
      inputHash: 'a'.repeat(64),
      isByItself: false,
    });
    store.jobs.enqueue({ kind: 'makeProposal', inputKey: proposalId });
    await server.jobs.idle();
    expect(store.read.proposals.find(proposalId)).toMatchObject({
      state: 'failed',
      problem: expect.stringContaining('Drives came in'),
    });
  });
});

describe('what becomes of a proposal', () => {
  it('goes into a draft in part, which says where it comes from, as does the revision made of it', async () => {
    const { maintainer } = club.as;
    const proposal = await propose({ maxStep: 0.06 });
    const [first, ...others] = changing(proposal);
    const nodes = [{ tableId: first.tableId, variant: first.variant, nodeIndex: first.nodeIndex }];
    const draft: DraftResponse = await made(
      maintainer.post(`/proposals/${proposal.id}/drafts`, { nodes, line: 'part' }),
    );
    expect(draft).toMatchObject({ origin: 'proposal', parentId: club.revisionIds[0] });
    expect(draft.originNote).toMatch(/^1 of \d+ changes proposed on 2026-03-01/);
    expect(draft.content.tables[first.tableId].values[first.variant][first.nodeIndex]).toBe(first.proposedValue);
    for (const { tableId, variant, nodeIndex, presentValue } of others) {
      expect(draft.content.tables[tableId].values[variant][nodeIndex]).toBe(presentValue);
    }
    const revision: RevisionResponse = await made(
      maintainer.post(`/drafts/${draft.id}/revision`, { message: 'one node', contentHash: draft.contentHash }),
    );
    for (const query of [`draft=${draft.id}`, `revision=${revision.id}`]) {
      const origin: ProposalOriginResponse = await made(maintainer.get(`/proposal-origin?${query}`));
      expect(origin.proposal).toMatchObject({
        id: proposal.id,
        decisions: [{ takenNodes: 1, revisionId: revision.id }],
      });
    }
    const none: ProposalOriginResponse = await made(maintainer.get(`/proposal-origin?revision=${club.revisionIds[0]}`));
    expect(none.proposal).toBeNull();
  });

  it('goes into a draft as a whole, which no finding blocks', async () => {
    const proposal = await propose({ maxStep: 0.061 });
    const draft: DraftResponse = await made(
      club.as.maintainer.post(`/proposals/${proposal.id}/drafts`, { line: 'whole', title: 'All of it' }),
    );
    expect(draft.title).toBe('All of it');
    for (const { tableId, variant, nodeIndex, proposedValue } of changing(proposal)) {
      expect(draft.content.tables[tableId].values[variant][nodeIndex]).toBe(proposedValue);
    }
    expect(draft.findings.filter(({ severity }) => severity === 'blocking')).toEqual([]);
  });

  it('cannot be taken any more once it was rejected, with the reason beside it', async () => {
    const { maintainer } = club.as;
    const { id } = await propose({ maxStep: 0.062 });
    const rejected: ProposalResponse = await made(
      maintainer.post(`/proposals/${id}/rejection`, { reason: 'only warm drives' }),
    );
    expect(rejected.decisions).toMatchObject([{ decision: 'rejected', reason: 'only warm drives', byName: 'Marram' }]);
    for (const answer of [
      await maintainer.post(`/proposals/${id}/drafts`, { line: 'late' }),
      await maintainer.post(`/proposals/${id}/rejection`, { reason: 'again' }),
    ]) {
      expect(answer.json()).toMatchObject({ code: 'proposal.rejected', detail: expect.stringContaining('only warm') });
    }
    const { items } = await made(maintainer.get(`/calibrations/${club.calibrationId}/drafts`));
    expect(items.map(({ line }: { line: string }) => line)).not.toContain('late');
  });

  it('is tried on simulated cars, before and after, at points that were driven', async () => {
    const { maintainer } = club.as;
    const { id } = await propose({ maxStep: 0.063 });
    const asked: ProposalResponse = await made(maintainer.post(`/proposals/${id}/preview`));
    expect(asked.preview.kind).toBe('running');
    await server.jobs.idle();
    const { preview }: ProposalResponse = await made(maintainer.get(`/proposals/${id}`));
    if (preview.kind !== 'preview') throw new Error(JSON.stringify(preview));
    expect(preview.total.shifts + preview.leftOut).toBeGreaterThanOrEqual(20);
    expect(preview.total.shifts).toBe(preview.byKind.reduce((sum, { shifts }) => sum + shifts, 0));
    expect(preview.total.flareAfter).toBeLessThanOrEqual(preview.total.shifts);
    expect(preview.changed).toBeGreaterThan(0);
  });

  it('is a file with every node, its place, its values and what was decided, as JSON and as CSV', async () => {
    const { maintainer } = club.as;
    const proposal = await propose({ maxStep: 0.065 });
    const { nodes, ...head }: ProposalNodesResponse = await made(maintainer.get(`/proposals/${proposal.id}/nodes`));
    expect(head).toMatchObject({ kind: 'syncline.proposal', proposalId: proposal.id, resultHash: proposal.resultHash });
    expect(nodes).toHaveLength(proposal.result?.nodes.length ?? 0);
    const { content }: RevisionResponse = await made(maintainer.get(`/revisions/${proposal.baseRevisionId}`));
    for (const node of nodes) {
      const { axes, values } = content.tables[node.tableId];
      expect(values[node.variant][node.nodeIndex]).toBe(node.presentValue);
      expect(node.at.map(({ value }) => value)).toEqual(
        axes.length === 0
          ? []
          : axes.length === 1
            ? [axes[0][node.nodeIndex]]
            : [axes[0][Math.floor(node.nodeIndex / axes[1].length)], axes[1][node.nodeIndex % axes[1].length]],
      );
      expect(node.verdict === 'leftAlone').toBe(node.proposedValue === node.presentValue);
      if (node.sdPercent !== null) {
        expect(node.lowPercent).toBeLessThan(node.correctionPercent);
        expect(node.highPercent).toBeGreaterThan(node.correctionPercent);
      }
    }
    const csv = await maintainer.get(`/proposals/${proposal.id}/nodes.csv`);
    expect(csv.headers['content-disposition']).toContain('proposal Apply pressure r1.csv');
    const lines = csv.body.trimEnd().split('\r\n');
    expect(lines).toHaveLength(1 + nodes.length);
    const width = lines[0].split(',').length;
    for (const line of lines) expect(line.replaceAll(/"[^"]*"/g, '').split(',')).toHaveLength(width);
  });
});

describe('what belongs to one car', () => {
  it('is read by its owner, with its uncertainty by kind of shift', async () => {
    await propose({ maxStep: 0.064 });
    const [{ id, tester }] = cars;
    const { items }: VehicleTrimsResponse = await made(tester.get(`/vehicles/${id}/trims`));
    const [trims] = items;
    expect(trims).toMatchObject({ fleetVehicles: 3, subject: { title: 'Apply pressure' } });
    expect(trims.byKind.map(({ shiftKind }) => shiftKind)).toEqual(['1-2', '2-3']);
    for (const { sdLn, pressureLn, trimLn } of trims.byKind) {
      expect(sdLn).toBeGreaterThan(0);
      // No return pressure in this layout: pressure and torque go together.
      expect(pressureLn).toBeCloseTo(trimLn, 6);
    }
  });

  it('moves by what its control unit has learnt: shifts driven since are read with it', async () => {
    const [{ id, tester }] = cars;
    const trimOf = async () => {
      await propose({ maxStep: 0.065 });
      const { items }: VehicleTrimsResponse = await made(tester.get(`/vehicles/${id}/trims`));
      return items[0].byKind.find(({ shiftKind }) => shiftKind === '2-3')?.trimLn ?? 0;
    };
    const before = await trimOf();
    // Clutch C comes on in 2-3 of the test gearbox.
    const values = [{ clutch: 'C', percent: 20 }];
    const learnt = { revisionId: club.revisionIds[0], readAt: '2026-02-01T00:00:00Z', values, worthShifts: 5 };
    await made(tester.post(`/vehicles/${id}/adaptations`, learnt));
    expect(await trimOf()).toBeGreaterThan(before + 0.01);
    const { items } = await made(tester.get(`/vehicles/${id}/adaptations`));
    expect(items).toMatchObject([{ values, worthShifts: 5, revisionLabel: 'Shore r1' }]);
  });

  it.each([
    [{ values: [{ clutch: 'Z', percent: 2 }] }, 422, 'adaptation.unknownPlace'],
    [
      { values: [{ tableId: 'programFactor', variant: 'calm', row: 0, column: 0, percent: 2 }] },
      422,
      'adaptation.unknownPlace',
    ],
    [
      { values: [{ tableId: 'basePressure', variant: '2-3', row: 3, column: 0, percent: 2 }] },
      422,
      'adaptation.unknownPlace',
    ],
    [{ values: [{ clutch: 'C', percent: 80 }] }, 400, 'request.invalid'],
    [{ readAt: '2026-03-02T00:00:00Z' }, 400, 'request.invalid'],
  ])('refuses learnt values that cannot be: %j', async (change, status, code) => {
    const [, { id, tester }] = cars;
    const good = {
      revisionId: club.revisionIds[0],
      readAt: '2026-02-01T00:00:00Z',
      values: [{ clutch: 'C', percent: 2 }],
    };
    const answer = await tester.post(`/vehicles/${id}/adaptations`, { ...good, ...change });
    expect({ status: answer.statusCode, code: answer.json().code }).toEqual({ status, code });
  });
});

it('is made by the server itself when there is new evidence, once a night', async () => {
  const list = async (): Promise<ProposalsResponse> =>
    made(club.as.maintainer.get(`/calibrations/${club.calibrationId}/proposals`));
  const byItself = async () => (await list()).items.filter(({ isByItself }) => isByItself);
  const { folder, store } = server;
  expect(await byItself()).toEqual([]);
  await server.app.close();
  store.close();
  const again = await startServer({ folder });
  try {
    await again.jobs.idle();
    const proposals = again.store.read.proposals.list(club.calibrationId).filter(({ isByItself }) => isByItself);
    expect(proposals).toMatchObject([{ state: 'ready', requestedByName: 'the server' }]);
  } finally {
    await again.close();
  }
  const third = await startServer({ folder });
  await third.jobs.idle();
  expect(third.store.read.proposals.list(club.calibrationId).filter(({ isByItself }) => isByItself)).toHaveLength(1);
  server = third;
}, 30_000);
