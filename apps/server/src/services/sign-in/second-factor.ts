import type { Role } from '@syncline/contract';
import type { Person, Store } from '@syncline/store';
import { problem } from '../../problem-error.js';
import type { Actor } from '../actor.js';
import type { Passwords } from '../passwords.js';
import { hashSecret } from '../secrets.js';
import { hashRecoveryCode, newRecoveryCodes } from './recovery-codes.js';
import { matchingStep, newTotpSecret, totpUri } from './totp.js';

/** Who has to have a second factor. */
export type SecondFactorRule = 'optional' | 'maintainers';

export type SecondFactorService = ReturnType<typeof createSecondFactorService>;

/** The authenticator app of a person: adding, asking for its codes, removing. */
export function createSecondFactorService(
  store: Store,
  { clock, passwords, rule }: { clock: () => number; passwords: Passwords; rule: SecondFactorRule },
) {
  const { credentials: read, people } = store.read;
  const isRequiredOf = (role: Role) => rule === 'maintainers' && role === 'maintainer';

  /** Who comes by an OpenID provider alone has no password to ask for. */
  async function askPassword(personId: string, password: string): Promise<void> {
    const passwordHash = read.findPasswordHash(personId);
    if (passwordHash !== undefined && !(await passwords.isRight(passwordHash, password))) {
      throw problem('password.wrong');
    }
  }

  return {
    /** Whether nothing but the account is open to a person until she has added a second factor. */
    isMissing: ({ role, hasSecondFactor }: Pick<Person, 'role' | 'hasSecondFactor'>) =>
      isRequiredOf(role) && !hasSecondFactor,

    state(actor: Actor) {
      const factor = read.findSecondFactor(actor.id);
      const sinceMs = factor?.confirmedAtMs ?? null;
      return {
        sinceMs,
        recoveryCodesLeft: sinceMs === null ? 0 : read.countRecoveryCodes(actor.id),
        isRequired: isRequiredOf(actor.role),
        needsPassword: read.findPasswordHash(actor.id) !== undefined,
      };
    },

    /** A new secret, which counts once a code of it was entered. */
    async begin(actor: Actor, password: string): Promise<{ readonly secret: string; readonly uri: string }> {
      await askPassword(actor.id, password);
      if (read.findSecondFactor(actor.id)?.confirmedAtMs) throw problem('secondFactor.exists');
      const secret = newTotpSecret();
      store.credentials.beginSecondFactor({ personId: actor.id, secret });
      const label = people.find(actor.id)?.email ?? actor.name;
      return { secret, uri: totpUri({ secret, issuer: people.findClub()?.name ?? 'Syncline', label }) };
    },

    /** Proves that the app has the secret. Returns the recovery codes, to be shown once; other sign-ins end. */
    confirm(actor: Actor, { code, sessionToken }: { code: string; sessionToken: string }): readonly string[] {
      const factor = read.findSecondFactor(actor.id);
      if (!factor || factor.confirmedAtMs !== null) throw problem('secondFactor.none');
      const step = matchingStep(factor.secret, code, clock());
      if (step === undefined) throw problem('session.badCode');
      const { codes, codeHashes } = newRecoveryCodes();
      store.credentials.confirmSecondFactor({
        actor,
        personId: actor.id,
        step,
        recoveryCodeHashes: codeHashes,
        keepTokenHash: hashSecret(sessionToken),
      });
      return codes;
    },

    /** Takes a code of a person who has a second factor: of the app, or a recovery code. Throws where it is neither. */
    ask(person: Person, actor: Actor, code: string | undefined): void {
      if (code === undefined) throw problem('session.codeNeeded');
      const factor = read.findSecondFactor(person.id);
      if (!factor) return;
      const step = matchingStep(factor.secret, code.replace(/\s/g, ''), clock());
      if (step !== undefined && store.credentials.takeStep(person.id, step)) return;
      const codeHash = hashRecoveryCode(code);
      if (store.credentials.takeRecoveryCode({ actor, personId: person.id, codeHash })) return;
      throw problem('session.badCode');
    },

    async renewCodes(actor: Actor, password: string): Promise<readonly string[]> {
      await askPassword(actor.id, password);
      if (!read.findSecondFactor(actor.id)?.confirmedAtMs) throw problem('secondFactor.none');
      const { codes, codeHashes } = newRecoveryCodes();
      store.credentials.replaceRecoveryCodes({ actor, personId: actor.id, codeHashes });
      return codes;
    },

    async remove(actor: Actor, password: string): Promise<void> {
      await askPassword(actor.id, password);
      if (!read.findSecondFactor(actor.id)) throw problem('secondFactor.none');
      store.credentials.removeSecondFactor({ actor, personId: actor.id });
    },

    /** For a person who has lost app and recovery codes. */
    removeOf(actor: Actor, personId: string): void {
      if (!people.find(personId)?.hasSecondFactor) throw problem('secondFactor.none');
      store.credentials.removeSecondFactor({ actor, personId });
    },
  };
}
