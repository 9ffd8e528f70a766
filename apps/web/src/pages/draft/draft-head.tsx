import { Button, Menu } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import type { DraftResponse } from '@syncline/contract';
import { memo, type RefObject } from 'react';
import { draftExportUrl } from '../../api/drafts.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { ImportDialog } from '../calibration/import-dialog.js';
import { ProposalOrigin } from '../proposals/origin-note.js';
import { DiscardDialog } from './discard-dialog.js';
import type { SaveState } from './model/save-queue.js';
import { RenameDialog } from './rename-dialog.js';
import { SaveMark } from './save-mark.js';
import { SavesDrawer } from './saves-drawer.js';
import type { DraftEditor } from './use-draft-editor.js';

interface DraftHeadProps {
  /** The editor as it is when something is pressed: the head is not drawn anew at every key. */
  readonly editor: RefObject<DraftEditor>;
  readonly draft: DraftResponse;
  readonly isReadOnly: boolean;
  readonly saveState: SaveState;
  readonly onMake: () => void;
}

/** Name and origin of the draft, whether it is saved, and what can be done with the whole of it. */
export const DraftHead = memo(function DraftHead(props: DraftHeadProps) {
  const { editor, draft, isReadOnly, saveState, onMake } = props;
  const [isSavesOpen, saves] = useDisclosure(false);
  return (
    <PageHead
      title={draft.title}
      crumbs={<DraftCrumbs draft={draft} />}
      lead={
        <>
          <DraftFacts draft={draft} />
          {!isReadOnly && (
            <div>
              <SaveMark state={saveState} onRetry={() => void editor.current.queue.flush()} />
            </div>
          )}
        </>
      }
      actions={
        <>
          {draft.parentId !== null && draft.origin !== 'migration' && (
            <ButtonLink
              variant="default"
              size="xs"
              to="/compare"
              search={{ base: draft.parentId, other: `draft:${draft.id}` }}
            >
              Compare with parent
            </ButtonLink>
          )}
          <Button variant="default" size="xs" onClick={saves.open}>
            Earlier saves
          </Button>
          <FileMenu editor={editor} draft={draft} isReadOnly={isReadOnly} />
          {!isReadOnly && (
            <Button size="xs" onClick={onMake}>
              Make revision
            </Button>
          )}
          <SavesDrawer editor={editor} isOpen={isSavesOpen} onClose={saves.close} />
        </>
      }
    />
  );
});

export function DraftCrumbs({ draft: { calibrationId, calibrationTitle } }: { readonly draft: DraftResponse }) {
  return (
    <>
      <TextLink to="/calibrations">Calibrations</TextLink> ›{' '}
      <TextLink to="/calibrations/$calibrationId" params={{ calibrationId }}>
        {calibrationTitle}
      </TextLink>
    </>
  );
}

const ORIGIN_WORDS: Record<DraftResponse['origin'], string> = {
  edit: 'begun by hand',
  import: 'imported',
  merge: 'made by a merge',
  revert: 'brings an earlier revision back',
  migration: 'moved to another layout version',
  proposal: 'made from a proposal',
};

function DraftFacts({ draft }: { readonly draft: DraftResponse }) {
  const { parentId, parentNumber, mergeParentId, mergeParentNumber, origin, originNote, line, layoutVersion } = draft;
  return (
    <>
      A draft by {draft.createdByName}, <Instant at={draft.createdAt} />, {ORIGIN_WORDS[origin]}
      {originNote !== '' && ` (${originNote})`} ·{' '}
      {parentId === null ? (
        'no parent'
      ) : (
        <>
          from{' '}
          <TextLink to="/revisions/$revisionId" params={{ revisionId: parentId }}>
            r{parentNumber}
          </TextLink>
        </>
      )}
      {mergeParentId !== null && (
        <>
          {' '}
          and{' '}
          <TextLink to="/revisions/$revisionId" params={{ revisionId: mergeParentId }}>
            r{mergeParentNumber}
          </TextLink>
        </>
      )}{' '}
      · line {line} · layout version {layoutVersion}
      {origin === 'proposal' && <ProposalOrigin of={{ draft: draft.id }} />}
    </>
  );
}

const FORMATS = [
  { format: 'document', label: 'All tables as JSON' },
  { format: 'csv', label: 'All tables as CSV' },
  { format: 'tsv', label: 'All tables as TSV' },
] as const;

/** Rename, download, import, discard. */
function FileMenu({ editor, draft, isReadOnly }: Pick<DraftHeadProps, 'editor' | 'draft' | 'isReadOnly'>) {
  const [isRenaming, rename] = useDisclosure(false);
  const [isDiscarding, discard] = useDisclosure(false);
  const [isImporting, imports] = useDisclosure(false);
  /** The server writes what it has, so what is on the page goes there first. */
  const download = async (format: (typeof FORMATS)[number]['format']) => {
    await editor.current.queue.flush();
    window.location.assign(draftExportUrl(draft.id, format));
  };
  return (
    <>
      <Menu position="bottom-end" shadow="sm">
        <Menu.Target>
          <Button variant="default" size="xs">
            This draft…
          </Button>
        </Menu.Target>
        <Menu.Dropdown>
          {FORMATS.map(({ format, label }) => (
            <Menu.Item key={format} onClick={() => void download(format)}>
              {label}
            </Menu.Item>
          ))}
          {!isReadOnly && (
            <>
              <Menu.Divider />
              <Menu.Item onClick={rename.open}>Rename</Menu.Item>
              <Menu.Item onClick={imports.open}>Import a file beside it</Menu.Item>
              <Menu.Item onClick={discard.open}>Discard</Menu.Item>
            </>
          )}
        </Menu.Dropdown>
      </Menu>
      <RenameDialog draft={draft} isOpen={isRenaming} onClose={rename.close} />
      <DiscardDialog editor={editor} isOpen={isDiscarding} onClose={discard.close} />
      <ImportDialog
        calibrationId={draft.calibrationId}
        platformId={draft.platformId}
        parentId={draft.parentId ?? undefined}
        isOpen={isImporting}
        onClose={imports.close}
      />
    </>
  );
}
