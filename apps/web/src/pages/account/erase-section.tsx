import { useEraseOwn, useSession } from '../../api/session.js';
import { EraseAct } from '../../parts/erase-act.js';
import { Section } from '../../parts/section.js';

/** Leaving the club with everything that tells who one was. */
export function EraseSection() {
  const { person } = useSession();
  const erase = useEraseOwn();
  return (
    <Section title="Remove my data" note="Leave the club, and take along what tells who you were.">
      <EraseAct
        email={person.email}
        label="Remove my data and sign out"
        error={erase.error}
        isPending={erase.isPending}
        onErase={(email) => erase.mutate(email)}
      />
    </Section>
  );
}
