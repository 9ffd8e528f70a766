import { PROBLEMS } from '@syncline/contract';
import { Caution } from '../../parts/caution.js';
import classes from './sign-in.module.css';

/** Why a provider did not let somebody in, by the code that the server sent the browser back with. */
export function ProviderFailure({ code }: { readonly code: string | undefined }) {
  const known = Object.entries(PROBLEMS).find(([name]) => name === code)?.[1];
  if (known === undefined) return null;
  return (
    <div role="alert" className={classes.failure}>
      <Caution title={known.title}>{known.remedy}</Caution>
    </div>
  );
}
