import { Button, Drawer, Text } from '@mantine/core';
import { useQuery } from '@tanstack/react-query';
import type { RefObject } from 'react';
import { draftQueries, useRestoreDraft } from '../../api/drafts.js';
import { counted } from '../../format/quantity.js';
import { EmptyState } from '../../parts/empty-state.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import classes from './draft.module.css';
import type { DraftEditor } from './use-draft-editor.js';

interface SavesDrawerProps {
  readonly editor: RefObject<DraftEditor>;
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** Earlier saves of the draft, each of which can be brought back. */
export function SavesDrawer({ editor, isOpen, onClose }: SavesDrawerProps) {
  return (
    <Drawer
      opened={isOpen}
      onClose={onClose}
      position="right"
      title="Earlier saves"
      closeButtonProps={{ 'aria-label': 'Close' }}
    >
      <Saves editor={editor} onClose={onClose} />
    </Drawer>
  );
}

function Saves({ editor, onClose }: Omit<SavesDrawerProps, 'isOpen'>) {
  const { draft, isReadOnly, queue, adopt } = editor.current;
  const saves = useQuery(draftQueries.saves(draft.id));
  const restore = useRestoreDraft(draft.id);
  const bringBack = async (from: number, savedAt: string) => {
    if (!(await queue.flush())) return;
    restore.mutate(
      { version: queue.version, from },
      {
        onSuccess: (restored) => {
          adopt(restored, `Brought back the save of ${savedAt.slice(0, 16).replace('T', ' ')}`);
          onClose();
        },
      },
    );
  };
  return (
    <>
      <Text size="sm" c="dimmed" mb="sm">
        The last hundred are kept. Bringing one back is a save of its own: nothing newer is lost, and Undo leads back.
      </Text>
      {restore.error !== null && <ProblemNotice error={restore.error} />}
      <QueryView
        query={saves}
        isEmpty={({ items }) => items.length === 0}
        empty={<EmptyState title="None yet">They appear once the draft has been changed.</EmptyState>}
      >
        {({ items }) => (
          <ul className={classes.saves}>
            {items.map(({ version, savedAt, byName, changedCells }) => (
              <li key={version}>
                <div>
                  <Instant at={savedAt} />
                  <div className={classes.small}>
                    {byName}, {counted(changedCells, 'cell')} changed · save {version}
                  </div>
                </div>
                {version === queue.version ? (
                  <span className={classes.small}>as it is now</span>
                ) : (
                  !isReadOnly && (
                    <Button
                      variant="default"
                      size="compact-sm"
                      loading={restore.isPending && restore.variables.from === version}
                      onClick={() => void bringBack(version, savedAt)}
                    >
                      Bring back
                    </Button>
                  )
                )}
              </li>
            ))}
          </ul>
        )}
      </QueryView>
    </>
  );
}
