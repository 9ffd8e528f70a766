import { Button, Menu } from '@mantine/core';
import type { CalibrationResponse } from '@syncline/contract';
import { useNavigate } from '@tanstack/react-router';
import type { HistoryRevision } from './history-revision.js';
import { headOf, linesOf } from './lines.js';

/** Something to be begun from a revision, in a dialog of the page. */
export interface Beginning {
  readonly kind: 'draft' | 'branch' | 'revert';
  readonly revision: Pick<HistoryRevision, 'id' | 'number' | 'line' | 'message'>;
}

interface BeginMenuProps {
  readonly calibration: CalibrationResponse;
  readonly revision: HistoryRevision;
  readonly onBegin: (beginning: Beginning) => void;
}

/** What can be begun from one revision. */
export function BeginMenu({ calibration, revision, onBegin }: BeginMenuProps) {
  const navigate = useNavigate();
  const { id, number, line } = revision;
  const head = headOf(calibration, line);
  const otherHeads = linesOf(calibration)
    .filter((name) => name !== line)
    .flatMap((name) => headOf(calibration, name) ?? []);
  const merge = (ours: string) =>
    void navigate({
      to: '/calibrations/$calibrationId/merge',
      params: { calibrationId: calibration.id },
      search: { ours, theirs: id },
    });
  return (
    <Menu position="bottom-end" shadow="sm">
      <Menu.Target>
        <Button variant="default" size="compact-xs" mt={4} aria-label={`Begin from r${number}`}>
          Begin…
        </Button>
      </Menu.Target>
      <Menu.Dropdown>
        {head?.id === id && (
          <Menu.Item onClick={() => onBegin({ kind: 'draft', revision })}>New draft from r{number}</Menu.Item>
        )}
        <Menu.Item onClick={() => onBegin({ kind: 'branch', revision })}>Branch off a line at r{number}</Menu.Item>
        {head !== undefined && head.id !== id && (
          <Menu.Item onClick={() => onBegin({ kind: 'revert', revision })}>Bring r{number} back</Menu.Item>
        )}
        {otherHeads.map((other) => (
          <Menu.Item key={other.id} onClick={() => merge(other.id)}>
            Merge r{number} into {other.line} (r{other.number})
          </Menu.Item>
        ))}
        <Menu.Item onClick={() => void navigate({ to: '/revisions/$revisionId/migrate', params: { revisionId: id } })}>
          Move to another layout version
        </Menu.Item>
      </Menu.Dropdown>
    </Menu>
  );
}
