import type { VehicleDetail } from '@syncline/store';

const WAYS = 'A new bus capture can clear it, or a maintainer who decides with a reason.';

/** Why a car may or may not be offered revisions as far as its bus dialect goes, and what would clear it. */
export function explainDialect(vehicle: VehicleDetail): string {
  const [decision] = vehicle.decisions;
  if (decision && decision.lapsedAtMs === null) {
    const did = decision.decision === 'accept' ? 'accepted' : 'refused';
    return `${decision.byName} has ${did} it as it is: ${decision.reason}`;
  }
  const lapsed = decision ? ' The decision of before was about another pair and has lapsed.' : '';
  return `${verdictReason(vehicle)}${lapsed}`;
}

function verdictReason({ declaredDialect, observedDialect, dialectVerdict, observations }: VehicleDetail): string {
  const [newest] = observations;
  if (dialectVerdict === 'confirmed') return `What was observed is what is declared: ${observedDialect}.`;
  if (dialectVerdict === 'contradicted') {
    return `It was observed to speak ${observedDialect}, but ${declaredDialect} is declared. ${WAYS}`;
  }
  if (!newest) return `Nothing was observed yet, and a label is no proof. ${WAYS}`;
  if (observedDialect === null) return `What it speaks could not be told: ${newest.note}. ${WAYS}`;
  if (declaredDialect === null) return `It was observed to speak ${observedDialect}, but nothing is declared. ${WAYS}`;
  return `${declaredDialect} was declared only after it had been observed, which tells nothing new. ${WAYS}`;
}
