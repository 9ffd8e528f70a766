import type { ErasedPerson, Person, Store } from '@syncline/store';
import { notFound, problem } from '../../problem-error.js';
import type { Actor } from '../actor.js';
import type { Passwords } from '../passwords.js';
import { hashSecret, newSecret } from '../secrets.js';
import type { SecondFactorService } from './second-factor.js';

/** Long enough to reach a person by another way, short enough not to lie about. */
const RESET_MS = 24 * 3600_000;

export type MemberService = ReturnType<typeof createMemberService>;

/** What maintainers do about the accounts of others, and the link for a new password that they hand out. */
export function createMemberService(
  store: Store,
  options: { clock: () => number; passwords: Passwords; secondFactor: SecondFactorService },
) {
  const { clock, passwords, secondFactor } = options;
  const { credentials, people } = store.read;

  /** So that no maintainer locks herself out: one who acts is there to undo it. */
  function assertOther(actor: Actor, personId: string): void {
    if (actor.id === personId) throw problem('person.isYourself');
  }

  return {
    endSessions(actor: Actor, personId: string): void {
      store.people.endSessions({ actor, personId });
    },

    suspend(actor: Actor, personId: string, reason: string): Person {
      assertOther(actor, personId);
      return store.people.setSuspended({ actor, personId, isSuspended: true, reason });
    },

    reactivate(actor: Actor, personId: string): Person {
      // There is nobody behind the account any more who could come in.
      if (people.find(personId)?.erasedAtMs != null) throw notFound('person');
      return store.people.setSuspended({ actor, personId, isSuspended: false, reason: '' });
    },

    /**
     * Removes who a person is, for good; `email` confirms whom it means. Asked by a maintainer for somebody else, or by
     * anybody for herself.
     */
    erase(actor: Actor, personId: string, email: string): Omit<ErasedPerson, 'files'> {
      const person = people.find(personId);
      if (!person || person.erasedAtMs !== null) throw notFound('person');
      if (person.email !== email) throw problem('person.notConfirmed');
      const { files, ...counts } = store.people.erase({ actor, personId });
      store.blobs.removeFiles(files);
      return counts;
    },

    removeSecondFactor(actor: Actor, personId: string): void {
      assertOther(actor, personId);
      if (!people.find(personId)) throw notFound('person');
      secondFactor.removeOf(actor, personId);
    },

    /** The path holds the secret; it is not kept and cannot be shown again. */
    makeReset(actor: Actor, personId: string): { readonly path: string; readonly expiresAtMs: number } {
      const { secret, secretHash } = newSecret();
      const expiresAtMs = clock() + RESET_MS;
      store.credentials.makeReset({ actor, personId, secretHash, expiresAtMs });
      return { path: `/reset/${secret}`, expiresAtMs };
    },

    getReset(secret: string): { readonly name: string; readonly clubName: string; readonly expiresAtMs: number } {
      const reset = credentials.findReset(hashSecret(secret));
      if (!reset) throw problem('reset.invalid');
      return { name: reset.person.name, clubName: people.findClub()?.name ?? '', expiresAtMs: reset.expiresAtMs };
    },

    /** Sets the password alone: who has a second factor still needs it to come in. */
    async resetPassword(secret: string, newPassword: string, requestId: string): Promise<void> {
      const secretHash = hashSecret(secret);
      if (!credentials.findReset(secretHash)) throw problem('reset.invalid');
      store.credentials.resetPassword({ secretHash, passwordHash: await passwords.hash(newPassword), requestId });
    },
  };
}
