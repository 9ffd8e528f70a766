import { describe, expect, it } from 'vitest';
import type { ApplicationContent, Store } from '../../src/index.js';
import { aClub, PLATFORM, SYSTEM } from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const refusal = (code: string) => expect.objectContaining({ code });

const DAY_MS = 24 * 3600_000;

const aContent = (change: Partial<ApplicationContent> = {}): ApplicationContent => ({
  name: 'Sea Rocket',
  email: 'rocket@shore.example',
  car: 'a pick-up from 2009',
  engine: '2.5 diesel',
  gearboxLabel: 'T6-04',
  platformId: PLATFORM.id,
  dialect: 'north',
  place: 'up the fjord',
  climates: ['frost', 'mountains'],
  yearlyKm: 12_000,
  logger: 'a bus logger',
  consentVersion: 1,
  ...change,
});

function aRecruitingClub() {
  const test = openTestStore();
  aClub(test.store);
  const { store } = test;
  const receive = (change?: Partial<ApplicationContent>) => {
    store.applications.receive({ actor: SYSTEM, content: aContent(change) });
    return store.read.applications.list({}, { limit: 1 }).items[0].id;
  };
  return { ...test, receive };
}

const trail = (store: Store) => JSON.stringify(store.read.audit.list({ limit: 100 }).items);

describe('an application', () => {
  it('is kept as it was sent, with the time and the words that were agreed to', () => {
    const { store, clock, receive } = aRecruitingClub();
    const id = receive();
    expect(store.read.applications.find(id)).toEqual({
      ...aContent(),
      id,
      state: 'new',
      platformTitle: PLATFORM.title,
      receivedAtMs: clock.nowMs,
      decidedByName: null,
      decidedAtMs: null,
      note: '',
      sameAddress: 0,
    });
    expect(() => receive({ platformId: 'none' })).toThrow(refusal('not_found'));
  });

  it('is listed newest first, by state and platform, with how often the address wrote', () => {
    const { store, receive } = aRecruitingClub();
    const first = receive();
    const second = receive({ platformId: null });
    const third = receive({ email: 'beet@shore.example' });
    store.applications.decide({ actor: SYSTEM, applicationId: third, state: 'waiting', note: 'in spring' });
    const page = store.read.applications.list({}, { limit: 2 });
    expect(page).toMatchObject({
      totalCount: 3,
      items: [
        { id: third, sameAddress: 0, state: 'waiting', note: 'in spring' },
        { id: second, sameAddress: 1, platformTitle: null },
      ],
    });
    const rest = store.read.applications.list({}, { limit: 2, cursor: page.nextCursor ?? '' });
    expect(rest).toMatchObject({ nextCursor: null, items: [{ id: first }] });
    const narrowed = store.read.applications.list({ state: 'new', platformId: PLATFORM.id }, { limit: 5 });
    expect(narrowed.items.map(({ id }) => id)).toEqual([first]);
    expect(store.read.applications.countNew()).toBe(2);
  });

  it('that was declined is removed after its time, the others stay', () => {
    const { store, clock, receive } = aRecruitingClub();
    const [old, waiting, young] = [receive(), receive(), receive()];
    store.applications.decide({ actor: SYSTEM, applicationId: old, state: 'declined', note: '' });
    store.applications.decide({ actor: SYSTEM, applicationId: waiting, state: 'waiting', note: '' });
    clock.nowMs += 2 * DAY_MS;
    store.applications.decide({ actor: SYSTEM, applicationId: young, state: 'declined', note: '' });
    const sweep = () => store.applications.sweepDeclined({ actor: SYSTEM, beforeMs: clock.nowMs - DAY_MS });
    expect(sweep()).toBe(1);
    expect(store.read.applications.list({}, { limit: 5 }).items.map(({ id }) => id)).toEqual([young, waiting]);
    expect(store.read.audit.list({ limit: 1 }).items[0].action).toBe('application.sweep');
    expect(sweep()).toBe(0);
  });

  it('leaves nothing personal behind when it is removed', () => {
    const { store, receive } = aRecruitingClub();
    const id = receive();
    const { id: invitationId } = store.people.invite({
      actor: SYSTEM,
      role: 'tester',
      note: `application ${id}`,
      secretHash: 'secret',
      expiresAtMs: 9e15,
    });
    store.applications.noteInvitation({ actor: SYSTEM, applicationId: id, invitationId });
    expect(store.read.applications.find(id)?.state).toBe('invited');
    store.applications.remove({ actor: SYSTEM, applicationId: id });
    expect(store.read.applications.find(id)).toBeUndefined();
    expect(trail(store)).not.toMatch(/rocket|fjord/i);
    expect(trail(store)).toContain('application.remove');
  });

  it('that does not exist cannot be decided on, invited or removed', () => {
    const { store } = aRecruitingClub();
    const none = { actor: SYSTEM, applicationId: 'none' };
    expect(() => store.applications.decide({ ...none, state: 'declined', note: '' })).toThrow(refusal('not_found'));
    expect(() => store.applications.noteInvitation({ ...none, invitationId: 'x' })).toThrow(refusal('not_found'));
    expect(() => store.applications.remove(none)).toThrow(refusal('not_found'));
  });
});

describe('recruitment', () => {
  it('is not set at first, then as it was set last', () => {
    const { store, clock } = aRecruitingClub();
    expect(store.read.applications.findRecruitment()).toBeUndefined();
    store.applications.setRecruitment({ actor: SYSTEM, isOpen: true, callText: 'Come.' });
    store.applications.setRecruitment({ actor: SYSTEM, isOpen: false, callText: 'Later.' });
    expect(store.read.applications.findRecruitment()).toEqual({
      isOpen: false,
      callText: 'Later.',
      changedByName: 'test',
      changedAtMs: clock.nowMs,
    });
  });
});
