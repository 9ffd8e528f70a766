import { and, eq, isNull, lt, ne, or } from 'drizzle-orm';
import type { Actor } from '../actor.js';
import { appendAudit } from '../audit/append-audit.js';
import type { WriteContext } from '../database/context.js';
import { openidLinks, passwordResets, recoveryCodes, secondFactors } from '../schema/credentials.js';
import { people, sessions } from '../schema/people.js';
import { StoreError } from '../store-error.js';
import { credentialReads } from './credential-reads.js';
import type { CredentialWrites } from './credentials.js';

export function credentialWrites(context: WriteContext): CredentialWrites {
  const { db, clock, transaction } = context;
  const read = credentialReads(db, clock);

  function note(actor: Actor, personId: string, action: string, detail: string): void {
    appendAudit(context, { actor, action, target: `person:${personId}`, detail });
  }

  function setPassword(personId: string, passwordHash: string): void {
    const { changes } = db.update(people).set({ passwordHash }).where(eq(people.id, personId)).run();
    if (changes === 0) throw new StoreError('not_found', `There is no person '${personId}'.`);
  }

  function endOtherSessions(personId: string, keepTokenHash: string): void {
    db.delete(sessions)
      .where(and(eq(sessions.personId, personId), ne(sessions.tokenHash, keepTokenHash)))
      .run();
  }

  function setRecoveryCodes(personId: string, codeHashes: readonly string[]): void {
    db.delete(recoveryCodes).where(eq(recoveryCodes.personId, personId)).run();
    for (const codeHash of codeHashes) db.insert(recoveryCodes).values({ codeHash, personId }).run();
  }

  return {
    changePassword: ({ actor, personId, passwordHash, keepTokenHash }) =>
      transaction(() => {
        setPassword(personId, passwordHash);
        endOtherSessions(personId, keepTokenHash);
        db.delete(passwordResets).where(eq(passwordResets.personId, personId)).run();
        note(actor, personId, 'person.changePassword', 'chose a new password; other sign-ins ended');
      }),

    makeReset: ({ actor, personId, secretHash, expiresAtMs }) =>
      transaction(() => {
        const person = db.select({ name: people.name }).from(people).where(eq(people.id, personId)).get();
        if (!person) throw new StoreError('not_found', `There is no person '${personId}'.`);
        const row = { secretHash, createdAtMs: clock(), expiresAtMs, usedAtMs: null };
        db.insert(passwordResets)
          .values({ personId, ...row })
          .onConflictDoUpdate({ target: passwordResets.personId, set: row })
          .run();
        const until = new Date(expiresAtMs).toISOString();
        note(actor, personId, 'person.makeReset', `a link for a new password of ${person.name}, until ${until}`);
      }),

    resetPassword: ({ secretHash, passwordHash, requestId }) =>
      transaction(() => {
        const person = read.findReset(secretHash)?.person;
        if (!person) throw new StoreError('reset_invalid', 'This link is unknown, used or expired.');
        setPassword(person.id, passwordHash);
        db.update(passwordResets).set({ usedAtMs: clock() }).where(eq(passwordResets.secretHash, secretHash)).run();
        db.delete(sessions).where(eq(sessions.personId, person.id)).run();
        const actor: Actor = { kind: 'person', id: person.id, name: person.name, requestId };
        note(actor, person.id, 'person.resetPassword', 'chose a new password by a link; all sign-ins ended');
        return person;
      }),

    beginSecondFactor: ({ personId, secret }) =>
      transaction(() => {
        if (read.findSecondFactor(personId)?.confirmedAtMs) {
          throw new StoreError('exists', 'There is a second factor already.');
        }
        const row = { secret, createdAtMs: clock(), confirmedAtMs: null, lastStep: null };
        db.insert(secondFactors)
          .values({ personId, ...row })
          .onConflictDoUpdate({ target: secondFactors.personId, set: row })
          .run();
      }),

    confirmSecondFactor: ({ actor, personId, step, recoveryCodeHashes, keepTokenHash }) =>
      transaction(() => {
        const { changes } = db
          .update(secondFactors)
          .set({ confirmedAtMs: clock(), lastStep: step })
          .where(and(eq(secondFactors.personId, personId), isNull(secondFactors.confirmedAtMs)))
          .run();
        if (changes === 0) throw new StoreError('not_found', 'No second factor waits to be confirmed.');
        setRecoveryCodes(personId, recoveryCodeHashes);
        endOtherSessions(personId, keepTokenHash);
        note(actor, personId, 'secondFactor.add', 'added an authenticator app; other sign-ins ended');
      }),

    takeStep(personId, step) {
      const isNewer = or(isNull(secondFactors.lastStep), lt(secondFactors.lastStep, step));
      const { changes } = db
        .update(secondFactors)
        .set({ lastStep: step })
        .where(and(eq(secondFactors.personId, personId), isNewer))
        .run();
      return changes > 0;
    },

    takeRecoveryCode: ({ actor, personId, codeHash }) =>
      transaction(() => {
        const { changes } = db
          .update(recoveryCodes)
          .set({ usedAtMs: clock() })
          .where(
            and(
              eq(recoveryCodes.codeHash, codeHash),
              eq(recoveryCodes.personId, personId),
              isNull(recoveryCodes.usedAtMs),
            ),
          )
          .run();
        if (changes === 0) return false;
        const left = read.countRecoveryCodes(personId);
        note(actor, personId, 'secondFactor.recover', `used a recovery code; ${left} are left`);
        return true;
      }),

    replaceRecoveryCodes: ({ actor, personId, codeHashes }) =>
      transaction(() => {
        setRecoveryCodes(personId, codeHashes);
        note(actor, personId, 'secondFactor.renewCodes', 'made new recovery codes; the ones before are good no more');
      }),

    removeSecondFactor: ({ actor, personId }) =>
      transaction(() => {
        const { changes } = db.delete(secondFactors).where(eq(secondFactors.personId, personId)).run();
        if (changes === 0) throw new StoreError('not_found', 'There is no second factor.');
        db.delete(recoveryCodes).where(eq(recoveryCodes.personId, personId)).run();
        note(actor, personId, 'secondFactor.remove', 'removed the authenticator app and its recovery codes');
      }),

    linkOpenId: ({ actor, personId, issuer, subject }) =>
      transaction(() => {
        db.insert(openidLinks).values({ issuer, subject, personId, linkedAtMs: clock() }).run();
        note(actor, personId, 'person.linkOpenId', `comes in by ${issuer} from now on`);
      }),
  };
}
