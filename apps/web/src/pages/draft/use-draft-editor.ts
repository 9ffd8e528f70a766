import { CalibrationError, type EditedGrid } from '@syncline/calibration';
import type {
  DraftResponse,
  LayoutDocument,
  PlatformDocument,
  RevisionContentDocument,
  SaveDraftResponse,
} from '@syncline/contract';
import { useCallback, useEffect, useMemo, useRef, useState } from 'react';
import { type TableView, tableView } from '../revision/table-view.js';
import { sharingEqualParts } from './model/content-change.js';
import type { CheckedContent } from './model/draft-findings.js';
import {
  beginHistory,
  type EditHistory,
  type EditPlace,
  redone,
  undone,
  withEdit,
  withValues,
} from './model/edit-history.js';
import { type Entry, valuesAfterEntry } from './model/entry.js';
import { rectangleOf, selectionInside } from './model/grid-selection.js';
import type { SaveQueue, SaveState } from './model/save-queue.js';
import { useDraftSaving } from './use-draft-saving.js';
import { useDraftView } from './use-draft-view.js';

/** What the server last said of the draft. */
export interface CheckedDraft extends CheckedContent {
  readonly contentHash: string;
}

/** The draft as it is on the page, and everything that can be done to it. */
export interface DraftEditor {
  readonly draft: DraftResponse;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  readonly isReadOnly: boolean;
  readonly parent: RevisionContentDocument | null;
  /** Without what is still being typed. */
  readonly content: RevisionContentDocument;
  /** With it, as far as it is a number. */
  readonly shown: RevisionContentDocument;
  readonly checked: CheckedDraft;
  readonly view: TableView;
  /** Lowest and highest value without what is typed: the grid is not to flicker with every digit. */
  readonly extent: TableView['extent'];
  readonly place: EditPlace;
  /** The grid of `content` that is edited. */
  readonly grid: EditedGrid;
  readonly navigation: ReturnType<typeof useDraftView>;
  readonly entry: Entry | null;
  readonly setEntry: (entry: Entry | null) => void;
  readonly commitEntry: () => boolean;
  /** Other values in the variant that is looked at. `words` name the edit for undo. */
  readonly edit: (values: () => readonly number[], words: string, whyUnchanged?: string) => void;
  /** Another content altogether; one undo leads back. */
  readonly replaceContent: (content: RevisionContentDocument, words: string) => void;
  readonly undoWords: string | undefined;
  readonly redoWords: string | undefined;
  readonly undo: () => void;
  readonly redo: () => void;
  /** What could not be done, and why. */
  readonly notice: string | null;
  readonly setNotice: (notice: string | null) => void;
  /** What was just done, for those who do not see the grid. */
  readonly announcement: string;
  readonly queue: SaveQueue;
  readonly saveState: SaveState;
  /** The server has this content as this version: nothing of it needs to be saved. */
  readonly adopt: (draft: DraftResponse, words: string) => void;
}

interface EditorOptions {
  readonly draft: DraftResponse;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  readonly isReadOnly: boolean;
}

/** The state of the Draft page. Undefined where the content has no table to edit. */
export function useDraftEditor({ draft, layout, platform, isReadOnly }: EditorOptions): DraftEditor | undefined {
  const navigation = useDraftView();
  const { view: looked, show } = navigation;
  const parent = draft.parentContent;
  const [initial] = useState(() => sharingEqualParts(draft.content, parent));
  const [history, setHistory] = useState<EditHistory>(() => beginHistory(initial));
  const [checked, setChecked] = useState<CheckedDraft>({
    content: initial,
    findings: draft.findings,
    contentHash: draft.contentHash,
  });
  const [entry, setEntry] = useState<Entry | null>(null);
  const [notice, setNotice] = useState<string | null>(null);
  const [announcement, setAnnouncement] = useState('');
  const onSaved = useCallback(
    (saved: RevisionContentDocument, { findings, contentHash }: SaveDraftResponse) =>
      setChecked({ content: saved, findings, contentHash }),
    [],
  );
  const { queue, state: saveState } = useDraftSaving(draft, onSaved);

  const { content } = history;
  /** The content that the server has or is about to get. */
  const handedOver = useRef(content);
  useEffect(() => {
    if (content === handedOver.current || isReadOnly) return;
    handedOver.current = content;
    queue.put(content);
  }, [content, queue, isReadOnly]);

  const settled = useMemo(
    () => tableView(layout, platform, content, { table: looked.tableId, variant: looked.variant }),
    [layout, platform, content, looked.tableId, looked.variant],
  );
  const place = useMemo(
    () =>
      settled && {
        tableId: settled.spec.id,
        variant: settled.variant,
        selection: selectionInside(looked.selection, settled.size),
      },
    [settled, looked.selection],
  );
  const grid = useMemo(
    () => settled && { axes: content.tables[settled.spec.id]?.axes ?? [], values: settled.values },
    [content, settled],
  );
  const preview = useMemo(() => {
    if (entry === null || grid === undefined || place === undefined) return undefined;
    return valuesAfterEntry(grid, rectangleOf(place.selection), entry);
  }, [entry, grid, place]);
  const shown = useMemo(
    () => (preview === undefined || place === undefined ? content : withValues(content, place, preview)),
    [content, preview, place],
  );
  const [tableId, variant] = [settled?.spec.id, settled?.variant];
  const view = useMemo(
    () => tableView(layout, platform, shown, { table: tableId, variant }),
    [layout, platform, shown, tableId, variant],
  );

  const edit: DraftEditor['edit'] = (values, words, whyUnchanged) => {
    if (place === undefined || isReadOnly) return;
    try {
      const next = withValues(content, place, values());
      if (next === content) return setNotice(whyUnchanged ?? null);
      setHistory(withEdit(history, next, { words, place }));
      setNotice(null);
      setAnnouncement(words);
    } catch (error) {
      if (!(error instanceof CalibrationError)) throw error;
      setNotice(error.message);
    }
  };
  const replaceContent = (next: RevisionContentDocument, words: string) => {
    setHistory((now) => withEdit(now, next, { words, place: null }));
    setAnnouncement(words);
  };
  const step = (next: EditHistory, words: string, at: EditPlace | null | undefined) => {
    setEntry(null);
    setNotice(null);
    setHistory(next);
    setAnnouncement(words);
    if (at) show(at);
  };
  const [before, after] = [history.past.at(-1), history.future.at(-1)];

  const commitEntry = () => {
    setEntry(null);
    if (entry === null || entry.text.trim() === '') return true;
    if (preview === undefined) {
      setEntry(entry);
      setNotice(
        `“${entry.text}” is no number. Write digits with a point or comma before the decimals, or press Escape.`,
      );
      return false;
    }
    edit(() => preview, entryWords(entry));
    return true;
  };

  const adopt = useCallback(
    (loaded: DraftResponse, words: string) => {
      const next = sharingEqualParts(loaded.content, loaded.parentContent);
      queue.forget();
      handedOver.current = next;
      queue.resume({ version: loaded.version, savedAt: loaded.updatedAt });
      setChecked({ content: next, findings: loaded.findings, contentHash: loaded.contentHash });
      setEntry(null);
      setHistory((now) => withEdit(now, next, { words, place: null }));
      setAnnouncement(words);
    },
    [queue],
  );

  if (settled === undefined || view === undefined || place === undefined || grid === undefined) return undefined;
  return {
    draft,
    layout,
    platform,
    isReadOnly,
    parent,
    content,
    shown,
    checked,
    view,
    extent: settled.extent,
    place,
    grid,
    navigation,
    entry,
    setEntry: (next) => {
      setNotice(null);
      setEntry(next);
    },
    commitEntry,
    edit,
    replaceContent,
    undoWords: before?.words,
    redoWords: after?.words,
    undo: () => before && !isReadOnly && step(undone(history), `Undone: ${before.words}`, before.place),
    redo: () => after && !isReadOnly && step(redone(history), `Done again: ${after.words}`, after.place),
    notice,
    setNotice,
    announcement,
    queue,
    saveState,
    adopt,
  };
}

function entryWords({ kind, text }: Entry): string {
  switch (kind) {
    case 'set':
      return `Set to ${text}`;
    case 'add':
      return `Added ${text}`;
    case 'take':
      return `Took away ${text}`;
    case 'scale':
      return `Changed by ${text} %`;
    default:
      return kind satisfies never;
  }
}
