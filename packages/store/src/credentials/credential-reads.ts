import { and, count, eq, gt, isNull } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { personColumns } from '../people/person-columns.js';
import { openidLinks, passwordResets, recoveryCodes, secondFactors } from '../schema/credentials.js';
import { people } from '../schema/people.js';
import type { CredentialReads } from './credentials.js';

export function credentialReads(db: Db, clock: () => number): CredentialReads {
  return {
    findPasswordHash(personId) {
      const row = db.select({ hash: people.passwordHash }).from(people).where(eq(people.id, personId)).get();
      return row?.hash || undefined;
    },

    findSecondFactor: (personId) =>
      db
        .select({
          secret: secondFactors.secret,
          confirmedAtMs: secondFactors.confirmedAtMs,
          lastStep: secondFactors.lastStep,
        })
        .from(secondFactors)
        .where(eq(secondFactors.personId, personId))
        .get(),

    countRecoveryCodes: (personId) =>
      db
        .select({ value: count() })
        .from(recoveryCodes)
        .where(and(eq(recoveryCodes.personId, personId), isNull(recoveryCodes.usedAtMs)))
        .get()?.value ?? 0,

    findReset: (secretHash) =>
      db
        .select({ person: personColumns, expiresAtMs: passwordResets.expiresAtMs })
        .from(passwordResets)
        .innerJoin(people, eq(people.id, passwordResets.personId))
        .where(
          and(
            eq(passwordResets.secretHash, secretHash),
            isNull(passwordResets.usedAtMs),
            gt(passwordResets.expiresAtMs, clock()),
          ),
        )
        .get(),

    findByOpenId: ({ issuer, subject }) =>
      db
        .select(personColumns)
        .from(openidLinks)
        .innerJoin(people, eq(people.id, openidLinks.personId))
        .where(and(eq(openidLinks.issuer, issuer), eq(openidLinks.subject, subject)))
        .get(),
  };
}
