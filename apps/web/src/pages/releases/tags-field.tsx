import { TagsInput } from '@mantine/core';
import { mayDo, type VehicleResponse } from '@syncline/contract';
import { useSetTags } from '../../api/releases.js';
import { useSession } from '../../api/session.js';
import { ProblemNotice } from '../../parts/problem-notice.js';

/** Free words by which releases choose their cars: set by maintainers, read by all who see the car. */
export function TagsField({ vehicle }: { readonly vehicle: VehicleResponse }) {
  const { role } = useSession().person;
  const setTags = useSetTags(vehicle.id);
  if (!mayDo(role, 'vehicle:observe')) return <>{vehicle.tags.join(', ') || '–'}</>;
  return (
    <>
      <TagsInput
        aria-label="Tags"
        placeholder="e.g. towing"
        maxTags={20}
        clearable
        w={260}
        maw="100%"
        value={vehicle.tags}
        disabled={setTags.isPending}
        onChange={(tags) => setTags.mutate(tags)}
      />
      {setTags.error !== null && <ProblemNotice error={setTags.error} />}
    </>
  );
}
