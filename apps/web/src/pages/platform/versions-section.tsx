import type { PlatformResponse } from '@syncline/contract';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { Section } from '../../parts/section.js';
import classes from './platform.module.css';

type LayoutRow = PlatformResponse['layouts'][number];
type PolicyRow = PlatformResponse['policies'][number];

const LAYOUT_COLUMNS: readonly DataColumn<LayoutRow>[] = [
  { id: 'version', title: 'Version', isNumber: true, render: ({ version }) => version },
  { id: 'title', title: 'Layout', render: ({ title }) => title },
  { id: 'created', title: 'Since', render: ({ createdAt }) => <Instant at={createdAt} /> },
];

/** Versions of layouts and of grading policies, newest first. Neither changes once made. */
export function VersionsSection({ found }: { readonly found: PlatformResponse }) {
  const policyColumns: readonly DataColumn<PolicyRow>[] = [
    { id: 'version', title: 'Version', isNumber: true, render: ({ version }) => version },
    { id: 'created', title: 'Made', render: ({ createdAt }) => <Instant at={createdAt} /> },
    {
      id: 'inForce',
      title: 'In force',
      render: ({ version }) => (version === found.policy.version ? 'yes' : 'no'),
    },
  ];
  return (
    <div className={classes.columns}>
      <Section title="Layouts" note="Which tables a calibration has, with their axes, units and limits.">
        {found.layouts.length === 0 ? (
          'None has been entered yet.'
        ) : (
          <DataTable
            label="Layouts"
            columns={LAYOUT_COLUMNS}
            rows={found.layouts.toReversed()}
            rowId={({ version }) => String(version)}
          />
        )}
      </Section>
      <Section title="Grading policies" note="Thresholds by which shifts are graded.">
        <DataTable
          label="Grading policies"
          columns={policyColumns}
          rows={found.policies.toReversed()}
          rowId={({ version }) => String(version)}
        />
      </Section>
    </div>
  );
}
