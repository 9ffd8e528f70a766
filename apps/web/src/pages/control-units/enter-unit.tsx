import { Button, Select, TextInput } from '@mantine/core';
import { createControlUnitRequest } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useEnterUnit } from '../../api/control-units.js';
import { platformQueries } from '../../api/platforms.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { Section } from '../../parts/section.js';
import { useForm } from '../../parts/use-form.js';
import classes from './control-units.module.css';

/** Enters a unit when it comes off the bench. */
export function EnterUnit() {
  const platforms = useQuery(platformQueries.list()).data?.items ?? [];
  const enter = useEnterUnit();
  const form = useForm({
    initial: { serial: '', platformId: platforms[0]?.id ?? '', hardware: '', firmware: '', note: '' },
    schema: createControlUnitRequest,
    error: enter.error,
    onSubmit: (request) =>
      enter.mutate(request, {
        onSuccess: () => {
          form.set('serial', '');
          form.set('note', '');
        },
      }),
  });
  const platformId = form.values.platformId || platforms[0]?.id || null;
  return (
    <Section title="Enter a unit">
      <form
        noValidate
        onSubmit={(event) => {
          if (form.values.platformId === '' && platformId !== null) form.set('platformId', platformId);
          form.submit(event);
        }}
      >
        <div className={classes.row}>
          <TextInput label="Serial" w={160} {...form.field('serial')} />
          <Select
            label="Gearbox"
            w={200}
            allowDeselect={false}
            data={platforms.map(({ id, title }) => ({ value: id, label: title }))}
            {...form.choice('platformId')}
            value={platformId}
          />
          <TextInput label="Hardware" w={120} {...form.field('hardware')} />
          <TextInput label="Firmware (optional)" w={150} {...form.field('firmware')} />
          <TextInput label="Note (optional)" w={220} {...form.field('note')} />
          <Button type="submit" variant="default" loading={enter.isPending}>
            Enter
          </Button>
        </div>
        {enter.error !== null && <ProblemNotice error={enter.error} />}
        <p role="status">{enter.data !== undefined && `${enter.data.serial} is entered.`}</p>
      </form>
    </Section>
  );
}
