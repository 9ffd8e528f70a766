import type * as Contract from '@syncline/contract';
import type { ApplicationService, FittedApplication } from '../../services/applications/applications.js';
import type { RecruitmentView } from '../../services/applications/recruitment.js';
import { toInstant, toInstantOrNull } from '../format.js';

export function toApplication({ receivedAtMs, decidedAtMs, ...application }: FittedApplication): Contract.Application {
  return {
    ...application,
    climates: [...application.climates],
    fills: [...application.fills],
    receivedAt: toInstant(receivedAtMs),
    decidedAt: toInstantOrNull(decidedAtMs),
  };
}

export function toApplicationForm(form: ReturnType<ApplicationService['form']>): Contract.ApplicationForm {
  if (form === null) return { isOpen: false };
  const { clubName, callText, platforms } = form;
  return {
    isOpen: true,
    clubName,
    callText,
    platforms: platforms.map(({ id, title, dialects }) => ({ id, title, dialects: [...dialects] })),
  };
}

export function toRecruitment({ changed, needs, ...view }: RecruitmentView): Contract.RecruitmentResponse {
  return {
    ...view,
    changedByName: changed?.changedByName ?? null,
    changedAt: toInstantOrNull(changed?.changedAtMs ?? null),
    needs: [...needs],
  };
}
