import { Button } from '@mantine/core';
import type { OverviewResponse } from '@syncline/contract';
import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { fleetQueries } from '../../api/fleet.js';
import { counted } from '../../format/quantity.js';
import { formatDuration } from '../../format/time.js';

/** Size of the evidence in one line. What has come in since the page was drawn offers itself and moves nothing. */
export function OverviewLine({ platform }: { readonly platform: string }) {
  const { data } = useQuery(fleetQueries.overview(platform));
  // The line has its room from the start, so that nothing moves when it is known.
  if (data === undefined) return '\u00a0';
  return <Counts key={platform} overview={data} />;
}

function Counts({ overview }: { readonly overview: OverviewResponse }) {
  const client = useQueryClient();
  const [drawn, setDrawn] = useState(overview);
  const newShifts = overview.shifts - drawn.shifts;
  const show = () => {
    setDrawn(overview);
    void client.invalidateQueries({ queryKey: ['fleet'] });
  };
  return (
    <>
      {counted(drawn.vehicles, 'car')}, {counted(drawn.logs, 'drive')}, {counted(drawn.shifts, 'shift')},{' '}
      {formatDuration(drawn.drivenS)} driven
      {overview.waitingLogs > 0 && `; ${counted(overview.waitingLogs, 'drive')} in work`}
      <span role="status">
        {newShifts > 0 && (
          <Button variant="light" size="compact-xs" ml="sm" onClick={show}>
            {counted(newShifts, 'new shift')} – show
          </Button>
        )}
      </span>
    </>
  );
}
