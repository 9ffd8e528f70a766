import { Button, Group, Modal, Stack, Text, TextInput } from '@mantine/core';
import { type Finding, type LayoutDocument, makeRevisionRequest } from '@syncline/contract';
import { useNavigate } from '@tanstack/react-router';
import { useEffect } from 'react';
import { useMakeRevision } from '../../api/drafts.js';
import { counted } from '../../format/quantity.js';
import { sentence } from '../../format/words.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { useForm } from '../../parts/use-form.js';
import classes from './draft.module.css';
import { changeWords } from './draft-table-list.js';
import { FindingList } from './findings-panel.js';
import type { TableChange } from './model/content-change.js';
import { gravestFirst, isBlocking } from './model/draft-findings.js';
import { SaveMark } from './save-mark.js';
import type { DraftEditor } from './use-draft-editor.js';

interface MakeRevisionDialogProps {
  readonly editor: DraftEditor;
  readonly findings: readonly Finding[];
  readonly changes: ReadonlyMap<string, TableChange>;
  readonly isOpen: boolean;
  readonly onClose: () => void;
  readonly onShow: (finding: Finding) => void;
}

/** Freezes the draft into a revision, or says what keeps it from that. */
export function MakeRevisionDialog(props: MakeRevisionDialogProps) {
  const { editor, findings, isOpen, onClose, onShow } = props;
  if (!isOpen) return null;
  const blocking = findings.filter(isBlocking);
  const show = (finding: Finding) => {
    onClose();
    onShow(finding);
  };
  return (
    <Modal
      opened
      onClose={onClose}
      title={blocking.length > 0 ? 'This draft cannot be made into a revision yet' : 'Make revision'}
      size="lg"
      closeButtonProps={{ 'aria-label': 'Close' }}
    >
      <Stack gap="md">
        <ChangedTables {...props} layout={editor.layout} />
        {findings.length > 0 && (
          <div>
            <h3 className={classes.dialogHead}>
              {blocking.length > 0 ? `${blocking.length} of ${counted(findings.length, 'finding')} block` : 'Findings'}
            </h3>
            <FindingList findings={gravestFirst(findings).slice(0, 20)} layout={editor.layout} onShow={show} />
            {findings.length > 20 && <p className={classes.small}>and {findings.length - 20} more, on the page</p>}
          </div>
        )}
        {blocking.length > 0 && <Text size="sm">Each leads to its cell. Mend what blocks, then come back.</Text>}
        {blocking.length === 0 && !isEqualEdit(props) && <MakeForm editor={editor} warnings={findings.length} />}
      </Stack>
    </Modal>
  );
}

/** Nothing to freeze: a merge or a move to another layout may equal its parent and still mean something. */
function isEqualEdit({ editor: { draft, parent }, changes }: MakeRevisionDialogProps): boolean {
  return parent !== null && changes.size === 0 && !['merge', 'migration'].includes(draft.origin);
}

function ChangedTables({ changes, layout, editor }: MakeRevisionDialogProps & { readonly layout: LayoutDocument }) {
  if (editor.parent === null) return <Text size="sm">It has no parent: every table is new.</Text>;
  if (changes.size === 0) return <Text size="sm">No table differs from the parent: change one first.</Text>;
  return (
    <div>
      <h3 className={classes.dialogHead}>{counted(changes.size, 'table')} changed</h3>
      <ul className={classes.plainList}>
        {[...changes.values()].map((change) => (
          <li key={change.tableId}>
            {layout.tables.find(({ id }) => id === change.tableId)?.title ?? change.tableId}: {changeWords(change)}
          </li>
        ))}
      </ul>
    </div>
  );
}

const formSchema = makeRevisionRequest.pick({ message: true });

function MakeForm({ editor, warnings }: { readonly editor: DraftEditor; readonly warnings: number }) {
  const { draft, queue, saveState, checked, content } = editor;
  const make = useMakeRevision(draft.id);
  const navigate = useNavigate();
  // The hash guards what was read here, so the server must have exactly this first.
  const isSettled = checked.content === content;
  useEffect(() => void queue.flush(), [queue]);
  const form = useForm({
    initial: { message: draft.origin === 'proposal' ? sentence(draft.originNote) : '' },
    schema: formSchema,
    error: make.error,
    onSubmit: ({ message }) => {
      if (!isSettled) return;
      make.mutate(
        { message, contentHash: checked.contentHash },
        {
          onSuccess: ({ id }) => {
            queue.forget();
            void navigate({ to: '/revisions/$revisionId', params: { revisionId: id } });
          },
        },
      );
    },
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <Stack gap="sm">
        <TextInput
          label="Message"
          description="What was changed, and why: it stands in the history"
          data-autofocus
          {...form.field('message')}
        />
        <Text size="sm" c="dimmed">
          A revision never changes once made. {warnings > 0 && 'The warnings above stay with it. '}Another person
          reviews it before it goes into cars.
        </Text>
        {!isSettled && <SaveMark state={saveState} onRetry={() => void queue.flush()} />}
        {make.error !== null && <ProblemNotice error={make.error} />}
        <Group justify="flex-end">
          <Button type="submit" disabled={!isSettled} loading={make.isPending}>
            Make the revision
          </Button>
        </Group>
      </Stack>
    </form>
  );
}
