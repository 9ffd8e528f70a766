import { needsFilledBy, type ProfileNeed } from '@syncline/fleet';
import type {
  Application,
  ApplicationContent,
  ApplicationState,
  Page,
  PageRequest,
  Store,
  Actor as StoreActor,
} from '@syncline/store';
import { notFound, problem } from '../../problem-error.js';
import type { Actor } from '../actor.js';
import type { PeopleService } from '../people.js';
import type { RecruitmentService } from './recruitment.js';

const DAY_MS = 24 * 3600_000;
/** A declined application is kept for so long (days): the words that applicants agree to say so. */
const KEPT_DAYS = 180;
/** So many without an answer are no recruitment any more, but somebody filling the disk. */
const MAX_NEW = 500;

const HOUSEKEEPING: StoreActor = { kind: 'system', id: null, name: 'the server', requestId: 'housekeeping' };

/** An application with the lacking profiles that its car would fill. */
export interface FittedApplication extends Application {
  readonly fills: readonly ProfileNeed[];
}

export type ApplicationService = ReturnType<typeof createApplicationService>;

/** Applications of people outside the club, from the form to an invitation. */
export function createApplicationService(
  store: Store,
  options: {
    readonly recruitment: RecruitmentService;
    readonly people: PeopleService;
    readonly clock: () => number;
  },
) {
  const { recruitment, people, clock } = options;
  const { read, applications } = store;
  const isOpen = () => read.applications.findRecruitment()?.isOpen ?? false;

  function get(applicationId: string): FittedApplication {
    const found = read.applications.find(applicationId);
    if (!found) throw notFound('application');
    return { ...found, fills: needsFilledBy(found, recruitment.needs()) };
  }

  return {
    /** What the form shows; null while no applications are taken. */
    form() {
      const saved = read.applications.findRecruitment();
      if (!saved?.isOpen) return null;
      const clubName = read.people.findClub()?.name ?? '';
      return { clubName, callText: saved.callText, platforms: recruitment.listPlatforms() };
    },

    /** Takes an application from no one in particular. Tells nothing of others. */
    receive(content: ApplicationContent, requestId: string): void {
      if (!isOpen()) throw problem('application.closed');
      if (read.applications.countNew() >= MAX_NEW) throw problem('application.listFull');
      const actor: StoreActor = { kind: 'system', id: null, name: 'an applicant', requestId };
      applications.receive({ actor, content });
    },

    list(
      filter: { readonly state?: ApplicationState; readonly platformId?: string },
      page: PageRequest,
    ): Page<FittedApplication> {
      const found = read.applications.list(filter, page);
      const needs = recruitment.needs();
      return { ...found, items: found.items.map((item) => ({ ...item, fills: needsFilledBy(item, needs) })) };
    },

    decide(
      actor: Actor,
      applicationId: string,
      input: { readonly decision: 'waiting' | 'declined'; readonly note: string },
    ): FittedApplication {
      applications.decide({ actor, applicationId, state: input.decision, note: input.note });
      return get(applicationId);
    },

    /**
     * Makes an invitation for a tester. Its note names the application, not the applicant: the audit trail keeps it for
     * good. The path holds the secret; it is not kept and cannot be shown again.
     */
    invite(actor: Actor, applicationId: string) {
      get(applicationId);
      return store.transaction(() => {
        const invitation = people.invite(actor, { role: 'tester', note: `application ${applicationId}` });
        applications.noteInvitation({ actor, applicationId, invitationId: invitation.id });
        return invitation;
      });
    },

    remove: (actor: Actor, applicationId: string): void => applications.remove({ actor, applicationId }),

    /** Removes declined ones whose time is over. Returns how many. */
    sweep: (): number => applications.sweepDeclined({ actor: HOUSEKEEPING, beforeMs: clock() - KEPT_DAYS * DAY_MS }),
  };
}
