import type { NewNotice, ReleasableCar, Release, ReleaseEventKind, Store } from '@syncline/store';
import type { SigningService } from '../signing.js';
import { revisionLabel } from './car-words.js';

/** What the people of the cars are told of. */
export type CarNews = 'offered' | 'hold' | 'resume' | 'recall';

/** What stands below every message about maps. */
export const MAPS_CAUTION =
  'Before maps go into a car: only into one whose gearbox, layout version and observed bus dialect match. Wrong ' +
  'pressure can damage a gearbox and endanger people. Local law, your road authority’s inspection rules and a qualified ' +
  'workshop come first. Nobody looks at a screen while driving.';

export type ReleaseTeller = ReturnType<typeof createReleaseTeller>;

/** Puts what happens to a release into words, and into the outbox with it. */
export function createReleaseTeller(
  { read, notices }: Store,
  options: {
    readonly signing: SigningService;
    /** Without it no mail is written. */
    readonly isMailSetUp: boolean;
    readonly publicUrl: string | undefined;
    readonly nudgeOutbox: () => void;
  },
) {
  const { signing, isMailSetUp, publicUrl, nudgeOutbox } = options;

  function mailTo(car: ReleasableCar, news: CarNews, release: Release, reason: string): NewNotice {
    const { subject, lines } = newsWords(car, news, release, { reason, signing });
    const page = publicUrl === undefined ? [] : [`The page of the car: ${publicUrl}/vehicles/${car.vehicleId}`];
    const body = [`${car.ownerName},`, '', ...lines, '', ...page, '', MAPS_CAUTION, ''].join('\n');
    return { channel: 'mail', recipient: car.ownerEmail, about: `release:${release.id}`, subject, body };
  }

  return {
    tellCars(news: CarNews, release: Release, cars: readonly ReleasableCar[], reason = ''): void {
      if (!isMailSetUp) return;
      notices.queue(
        cars.filter(({ ownerEmail }) => ownerEmail !== '').map((car) => mailTo(car, news, release, reason)),
      );
      nudgeOutbox();
    },

    tellHooks(event: ReleaseEventKind, release: Release, reason: string): void {
      const body = JSON.stringify({
        event: `release.${event}`,
        release: {
          id: release.id,
          state: release.state,
          stage: release.stage + 1,
          stageCount: release.stages.length,
          platformId: release.platformId,
          revisionId: release.revision.id,
          revision: revisionLabel(release.revision),
          contentHash: release.contentHash,
        },
        reason,
      });
      const subject = `${revisionLabel(release.revision)}: ${event}`;
      notices.queue(
        read.notices
          .hooks()
          .map(({ id }) => ({ channel: 'hook', recipient: id, about: `release:${release.id}`, subject, body })),
      );
      nudgeOutbox();
    },
  };
}

function newsWords(
  car: ReleasableCar,
  news: CarNews,
  release: Release,
  { reason, signing }: { readonly reason: string; readonly signing: SigningService },
): { readonly subject: string; readonly lines: readonly string[] } {
  const label = revisionLabel(release.revision);
  const before = release.replaces && revisionLabel(release.replaces);
  switch (news) {
    case 'offered':
    case 'resume': {
      const { signature, keyId } = signing.signRevision(release.revision.id);
      return {
        subject: `${label} for ${car.title}`,
        lines: [
          news === 'offered' ? `${label} is released to ${car.title}.` : `${label} may be installed again: ${reason}`,
          '',
          release.words,
          '',
          `Content hash (SHA-256): ${release.contentHash}`,
          `Signature (Ed25519, key ${keyId}): ${signature}`,
          '',
          'Download it on the page of the car, compare the hash, install it, and say there what you installed, or that you could not.',
        ],
      };
    }
    case 'hold':
      return {
        subject: `Wait with ${label} for ${car.title}`,
        lines: [
          `The release of ${label} is held: ${reason}`,
          '',
          `If it is not in ${car.title} yet, do not install it. If it is, drive with care and stop when a shift feels wrong; the maintainers look into it.`,
        ],
      };
    case 'recall':
      return {
        subject: `Take ${label} out of ${car.title}`,
        lines: [
          `${label} was recalled: ${reason}`,
          '',
          before === null
            ? `Do not drive with it. Ask a maintainer what ${car.title} may run.`
            : `If it is in ${car.title}, go back to ${before}; you find it on the page of the car. If it is not, do not install it.`,
        ],
      };
    default:
      return news satisfies never;
  }
}
