import { Button, Code, Group, TextInput } from '@mantine/core';
import { createHookRequest, type Notice } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { noticeQueries, useAddHook, useRemoveHook } from '../../api/notices.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { useForm } from '../../parts/use-form.js';
import classes from './releases.module.css';

/** Who else is told when a release moves, and what became of each message. */
export function HooksSection() {
  const hooks = useQuery(noticeQueries.hooks());
  const notices = useQuery(noticeQueries.list());
  const remove = useRemoveHook();
  return (
    <Section
      title="Told of releases"
      note={
        notices.data?.isMailSetUp === false
          ? 'No mail server is set up: testers are told on their pages alone.'
          : 'Testers are told on their pages and by mail.'
      }
    >
      <QueryView query={hooks} isEmpty={({ items }) => items.length === 0} empty="No web hook is set.">
        {({ items }) => (
          <DataTable
            label="Web hooks"
            columns={[
              { id: 'url', title: 'Web hook', render: ({ url }) => url },
              { id: 'by', title: 'Set by', render: ({ createdByName }) => createdByName },
              {
                id: 'remove',
                title: 'Remove',
                render: ({ id }) => (
                  <Button
                    size="compact-sm"
                    variant="default"
                    loading={remove.isPending && remove.variables === id}
                    onClick={() => remove.mutate(id)}
                  >
                    Remove
                  </Button>
                ),
              },
            ]}
            rows={items}
            rowId={({ id }) => id}
          />
        )}
      </QueryView>
      <AddHook />
      <details>
        <summary>Messages on their way</summary>
        <QueryView query={notices} isEmpty={({ items }) => items.length === 0} empty="No message was written yet.">
          {({ items }) => <DataTable label="Messages" columns={NOTICE_COLUMNS} rows={items} rowId={({ id }) => id} />}
        </QueryView>
      </details>
    </Section>
  );
}

function AddHook() {
  const add = useAddHook();
  const form = useForm({
    initial: { url: '' },
    schema: createHookRequest,
    error: add.error,
    onSubmit: (request) => add.mutate(request),
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <Group gap="sm" align="flex-end" my="sm">
        <TextInput label="Address of a web hook" placeholder="https://" w={320} maw="100%" {...form.field('url')} />
        <Button type="submit" variant="default" loading={add.isPending}>
          Add
        </Button>
      </Group>
      {add.error !== null && <ProblemNotice error={add.error} />}
      {add.data !== undefined && (
        <p role="status">
          Its secret, shown this once: <Code>{add.data.secret}</Code>
          <span className={classes.small}>
            Each call carries Syncline-Timestamp and Syncline-Signature: v1= and the HMAC-SHA-256 of timestamp, a point
            and the body, with this secret.
          </span>
        </p>
      )}
    </form>
  );
}

const NOTICE_COLUMNS: readonly DataColumn<Notice>[] = [
  { id: 'at', title: 'Written', render: ({ createdAt }) => <Instant at={createdAt} /> },
  { id: 'channel', title: 'By', render: ({ channel }) => (channel === 'mail' ? 'mail' : 'web hook') },
  { id: 'subject', title: 'About', render: ({ subject }) => subject },
  { id: 'state', title: 'State', render: ({ state, attempts }) => `${state}, ${attempts} tries` },
  { id: 'error', title: 'Last fault', render: ({ lastError }) => lastError, distinct: ({ lastError }) => lastError },
];
