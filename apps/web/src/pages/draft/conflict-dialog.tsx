import { Button, Modal, Stack, Text } from '@mantine/core';
import type { DraftResponse } from '@syncline/contract';
import { useQueryClient } from '@tanstack/react-query';
import { type ReactNode, useState } from 'react';
import { isProblem } from '../../api/api-problem.js';
import { draftQueries, lockDraft } from '../../api/drafts.js';
import { counted } from '../../format/quantity.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import classes from './draft.module.css';
import { rebased } from './model/content-change.js';
import { saveContent } from './save-content.js';
import type { DraftEditor } from './use-draft-editor.js';

interface ConflictDialogProps {
  readonly editor: DraftEditor;
  /** Somebody took the draft over, as the renewal of the lock was told. */
  readonly isTakenOver: boolean;
  /** Reads on, without editing. */
  readonly onStop: () => void;
  /** The right to edit is mine again. */
  readonly onRegained: () => void;
}

/** Somebody else edits or saved meanwhile: nothing is overwritten or lost before a choice is made. */
export function ConflictDialog({ editor, isTakenOver, onStop, onRegained }: ConflictDialogProps) {
  const { saveState } = editor;
  const error = saveState.kind === 'failed' && !saveState.isTriedAgain ? saveState.error : null;
  const isLocked = isTakenOver || isProblem(error, 'draft.locked');
  const isOutdated = isProblem(error, 'draft.outdated');
  const [theirs, setTheirs] = useState<DraftResponse | null>(null);
  const [fault, setFault] = useState<unknown>(null);
  const client = useQueryClient();

  const load = async () => {
    const found = await client.fetchQuery({ ...draftQueries.one(editor.draft.id), staleTime: 0 });
    if (found.version === editor.queue.version)
      editor.queue.resume({ version: found.version, savedAt: found.updatedAt });
    else setTheirs(found);
  };
  const attempt = (work: () => Promise<void>) => {
    setFault(null);
    work().catch(setFault);
  };
  const takeOver = () =>
    attempt(async () => {
      await lockDraft(editor.draft.id, 'takeOver');
      onRegained();
      await load();
    });
  const close = () => setTheirs(null);
  if (error === null && !isTakenOver && theirs === null) return null;
  return (
    <Modal
      opened
      onClose={() => {}}
      withCloseButton={false}
      closeOnEscape={false}
      closeOnClickOutside={false}
      size="lg"
      title={titleOf(isLocked && theirs === null, isOutdated || theirs !== null)}
    >
      <Stack gap="md">
        {theirs !== null ? (
          <Choices editor={editor} theirs={theirs} onDone={close} />
        ) : isLocked ? (
          <>
            <Text>
              {errorText(error) ?? 'Another person took this draft over.'} Your last changes are on this page only.
            </Text>
            <Choice words="Take it over" onChoose={takeOver}>
              You edit, they read. What they saved meanwhile is shown to you first.
            </Choice>
            <Choice words="Stop editing and read" onChoose={onStop}>
              The page then shows what they save. {editor.queue.isClean ? '' : 'Download yours first if it is wanted.'}
            </Choice>
          </>
        ) : isOutdated ? (
          <>
            <Text>Somebody saved this draft since you loaded it. Your changes are on this page only.</Text>
            <Choice words="See what can be done" onChoose={() => attempt(load)}>
              Loads their save and offers to bring both together.
            </Choice>
          </>
        ) : (
          <>
            <ProblemNotice error={error} />
            <Choice words="Try again" onChoose={() => attempt(load)}>
              Reads the draft anew and saves what is on this page.
            </Choice>
            <Choice words="Stop editing and read" onChoose={onStop}>
              What was not saved stays in the download only.
            </Choice>
          </>
        )}
        {fault !== null && <ProblemNotice error={fault} />}
        <Choice words="Download mine" onChoose={() => saveContent(`${editor.draft.title}-mine.json`, editor.content)}>
          All tables as they are on this page, as a file that can be imported.
        </Choice>
      </Stack>
    </Modal>
  );
}

function titleOf(isLocked: boolean, isOutdated: boolean): string {
  if (isLocked) return 'Somebody else is editing this draft';
  return isOutdated ? 'Somebody else saved meanwhile' : 'The draft could not be saved';
}

function errorText(error: unknown): string | null {
  return error instanceof Error ? error.message : null;
}

interface ChoicesProps {
  readonly editor: DraftEditor;
  readonly theirs: DraftResponse;
  readonly onDone: () => void;
}

/** Two states of one draft, and the ways to go on with one. */
function Choices({ editor, theirs, onDone }: ChoicesProps) {
  const { content, checked, adopt, replaceContent, queue } = editor;
  const both = rebased(checked.content, content, theirs.content);
  const who = theirs.updatedByName;
  return (
    <>
      <Text>
        {who} saved this draft, <Instant at={theirs.updatedAt} />.
      </Text>
      <Choice
        words="Put my changes on theirs"
        onChoose={() => {
          adopt(theirs, `What ${who} saved`);
          replaceContent(both.content, `My changes put on those of ${who}`);
          onDone();
        }}
      >
        {counted(both.myCells, 'cell')} of mine
        {both.contestedCells > 0 && `; in ${counted(both.contestedCells, 'cell')} that both changed, mine stands`}
        {both.leftOut.length > 0 && `; not ${both.leftOut.join(', ')}, whose break points they moved`}.
      </Choice>
      <Choice
        words="Load theirs"
        onChoose={() => {
          adopt(theirs, `What ${who} saved`);
          onDone();
        }}
      >
        Mine stays one Undo away, to be copied from or to be brought back.
      </Choice>
      <Choice
        words="Keep mine"
        onChoose={() => {
          queue.resume({ version: theirs.version, savedAt: theirs.updatedAt });
          onDone();
        }}
      >
        Saved over theirs, which stays among the earlier saves.
      </Choice>
    </>
  );
}

interface ChoiceProps {
  readonly words: string;
  readonly onChoose: () => void;
  readonly children: ReactNode;
}

/** One way to go on, with what it does. */
function Choice({ words, onChoose, children }: ChoiceProps) {
  return (
    <div className={classes.choice}>
      <Button variant="default" onClick={onChoose}>
        {words}
      </Button>
      <span>{children}</span>
    </div>
  );
}
