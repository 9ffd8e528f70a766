import { Button, Code } from '@mantine/core';
import type { AuditChain } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { auditQueries } from '../../api/audit.js';
import { counted } from '../../format/quantity.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { ChainMark } from '../../parts/state-mark.js';
import classes from './people.module.css';

/** Whether every entry of the audit trail still is as it was written. */
export function ChainState() {
  const chain = useQuery(auditQueries.chain());
  return (
    <QueryView query={chain}>
      {(data) => (
        <div className={`${classes.chain} ${data.kind === 'broken' ? classes.broken : ''}`}>
          <Verdict chain={data} />
          <Button variant="default" size="compact-xs" loading={chain.isFetching} onClick={() => void chain.refetch()}>
            Check again
          </Button>
        </div>
      )}
    </QueryView>
  );
}

function Verdict({ chain }: { readonly chain: AuditChain }) {
  if (chain.kind === 'broken') {
    return (
      <div role="alert">
        Chain <ChainMark isWhole={false} /> at entry {chain.entryId}: {chain.reason}.{' '}
        {counted(chain.entryCount, 'entry', 'entries')} before it are as they were written. Keep a copy of the data
        folder as it is, and compare with a backup.
      </div>
    );
  }
  return (
    <div>
      Chain <ChainMark isWhole />: {counted(chain.entryCount, 'entry', 'entries')}, checked{' '}
      <Instant at={chain.checkedAt} />. Head{' '}
      <Code
        className={classes.hash ?? ''}
        title="Hash of the newest entry. Written down elsewhere, it shows later whether entries were cut off."
      >
        {chain.headHash}
      </Code>
    </div>
  );
}
