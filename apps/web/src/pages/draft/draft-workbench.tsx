import { useDisclosure } from '@mantine/hooks';
import type { Finding } from '@syncline/contract';
import { type ReactNode, useCallback, useMemo, useRef, useState } from 'react';
import { RampKey } from '../../charts/ramp-key.js';
import { formatNumber, formatQuantity } from '../../format/quantity.js';
import { sequentialColour } from '../../theme/palette.js';
import { ScheduleSection } from '../revision/schedule-section.js';
import { tableView } from '../revision/table-view.js';
import { AxesDialog, type AxisTarget } from './axes-dialog.js';
import { CellReadout } from './cell-readout.js';
import { ConflictDialog } from './conflict-dialog.js';
import classes from './draft.module.css';
import { DraftBench } from './draft-bench.js';
import { DraftCommanded } from './draft-commanded.js';
import { DraftGrid } from './draft-grid.js';
import { DraftHead } from './draft-head.js';
import { DraftProfiles } from './draft-profiles.js';
import type { DraftSearch } from './draft-search.js';
import { DraftTableHead } from './draft-table-head.js';
import { DraftTableList } from './draft-table-list.js';
import { DraftToolbar } from './draft-toolbar.js';
import { FindingsPanel } from './findings-panel.js';
import { KeyLine, KeySheet } from './key-sheet.js';
import { LeaveGuard } from './leave-guard.js';
import { MakeRevisionDialog } from './make-revision-dialog.js';
import { tableChanges } from './model/content-change.js';
import { findingsOf } from './model/draft-findings.js';
import { oneCell } from './model/grid-selection.js';
import { parentValuesOn } from './model/parent-values.js';
import type { DraftEditor } from './use-draft-editor.js';
import { useLatest } from './use-latest.js';
import { usePageKeys } from './use-page-keys.js';
import { useSettled } from './use-settled.js';

interface DraftWorkbenchProps {
  readonly editor: DraftEditor;
  /** Why the draft is read only, if it is. */
  readonly notice: ReactNode;
  readonly isTakenOver: boolean;
  readonly onStop: () => void;
  readonly onRegained: () => void;
}

const HELP_ID = 'grid-keys';

/** The page of a draft: its tables, the grid, and everything that looks at the same numbers from another side. */
export function DraftWorkbench({ editor, notice, isTakenOver, onStop, onRegained }: DraftWorkbenchProps) {
  const { draft, layout, platform, parent, shown, checked, view, place, navigation, isReadOnly } = editor;
  const [isMaking, making] = useDisclosure(false);
  const [isKeySheet, keySheet] = useDisclosure(false);
  const [isExtending, setExtending] = useState(false);
  const [axisTarget, setAxisTarget] = useState<AxisTarget | null>(null);
  const grid = useRef<HTMLDivElement>(null);
  const latest = useLatest(editor);
  usePageKeys({ onUndo: editor.undo, onRedo: editor.redo, onKeySheet: keySheet.open });

  const { tableId, variant, selection } = place;
  const current = useMemo(
    () => ({ content: shown, tableId, variant, active: selection.active }),
    [shown, tableId, variant, selection.active],
  );
  const later = useSettled(current);
  const { undoWords, redoWords, saveState } = editor;
  const status = useSettled(useMemo(() => ({ undoWords, redoWords, saveState }), [undoWords, redoWords, saveState]));
  // Another table is drawn at once: nothing of the one before may stand beside it.
  const settled = later.tableId === tableId && later.variant === variant ? later : current;
  const findings = useMemo(
    () => findingsOf(settled.content, { layout, platform, parent, checked }),
    [settled.content, layout, platform, parent, checked],
  );
  const changes = useMemo(() => tableChanges(settled.content, parent), [settled.content, parent]);
  const settledTable = useMemo(
    () => tableView(layout, platform, settled.content, { table: tableId, variant }),
    [layout, platform, settled.content, tableId, variant],
  );
  const settledView = settledTable ?? view;
  const parentTable = parent?.tables[tableId];
  const axes = shown.tables[tableId]?.axes;
  const parentValues = useMemo(
    () => parentValuesOn(view.spec, parentTable, variant, axes),
    [view.spec, parentTable, variant, axes],
  );
  const latestParentValues = useLatest(parentValues);

  const { show } = navigation;
  const showFinding = useCallback(
    ({ tableId, variant, cell }: Finding) => {
      if (tableId === null) return;
      show({ tableId, variant: variant ?? undefined, selection: oneCell(cell ?? { row: 0, column: 0 }) });
      grid.current?.focus();
    },
    [show],
  );
  const chooseTable = useCallback(
    (tableId: string) => show({ tableId, variant: place.variant, selection: oneCell({ row: 0, column: 0 }) }),
    [show, place.variant],
  );
  const openAxes = useCallback(
    (axis: 'row' | 'column' = 'column', node = 0) => {
      const { view: now, isReadOnly: isFixed } = latest.current;
      if (!isFixed) setAxisTarget({ axis: axis === 'column' && now.rowAxis !== undefined ? 1 : 0, node });
    },
    [latest],
  );
  const { change } = navigation;
  const shadeBy = useCallback((shade: DraftSearch['shade']) => change({ shade }), [change]);
  const showProgram = useCallback((program: string) => change({ program }), [change]);
  return (
    <>
      <DraftHead
        editor={latest}
        draft={draft}
        isReadOnly={isReadOnly}
        saveState={status.saveState}
        onMake={making.open}
      />
      {notice}
      <div className={classes.bench}>
        <DraftTableList
          draftId={draft.id}
          layout={layout}
          chosenId={place.tableId}
          findings={findings}
          changes={changes}
          onChoose={chooseTable}
        />
        <section className={classes.table} aria-label={`Table ${view.name}`}>
          <DraftTableHead
            draftId={draft.id}
            draftTitle={draft.title}
            platform={platform}
            view={settledView}
            search={navigation.search}
            changed={changes.get(place.tableId)?.byVariant}
          />
          <DraftToolbar
            editor={latest}
            parentValues={latestParentValues}
            gridRef={grid}
            spec={view.spec}
            isReadOnly={isReadOnly}
            hasParent={parentValues !== null}
            undoWords={status.undoWords}
            redoWords={status.redoWords}
            shade={navigation.search.shade}
            onShade={shadeBy}
            isExtending={isExtending}
            onExtending={setExtending}
            onOpenAxes={openAxes}
          />
          {editor.notice !== null && (
            <div className={classes.notice} role="alert">
              {editor.notice}
            </div>
          )}
          <div className={classes.gridAndReadout}>
            <div className={classes.main}>
              <div className={classes.grid}>
                <DraftGrid
                  editor={editor}
                  findings={findings}
                  parentValues={parentValues}
                  isExtending={isExtending}
                  gridRef={grid}
                  helpId={HELP_ID}
                  onKeySheet={keySheet.open}
                  onOpenAxes={openAxes}
                />
                <GridKey editor={editor} hasParent={parentValues !== null} />
              </div>
              <div className={classes.profiles}>
                <DraftProfiles view={settledView} parentValues={parentValues} place={settled.active} />
              </div>
            </div>
            <div className={classes.aside}>
              <CellReadout editor={editor} parentValues={parentValues} findings={findings} />
              <DraftCommanded
                layout={layout}
                platform={platform}
                content={settled.content}
                parent={parent}
                view={settledView}
                active={settled.active}
                asked={navigation.search}
                onChange={change}
              />
            </div>
          </div>
          <div role="status" className={classes.announcement}>
            {editor.announcement}
          </div>
        </section>
      </div>
      <FindingsPanel findings={findings} layout={layout} onShow={showFinding} />
      <ScheduleSection
        layout={layout}
        platform={platform}
        content={settled.content}
        before={parent}
        beforeName="parent"
        tableId={place.tableId}
        program={navigation.search.program}
        onProgram={showProgram}
      />
      <DraftBench
        draftId={draft.id}
        title={draft.title}
        contentHash={checked.contentHash}
        isAhead={editor.content !== checked.content}
        queue={editor.queue}
      />
      <AxesDialog editor={editor} target={axisTarget} onClose={() => setAxisTarget(null)} />
      <KeySheet isOpen={isKeySheet} onClose={keySheet.close} />
      <MakeRevisionDialog
        editor={editor}
        findings={findings}
        changes={changes}
        isOpen={isMaking}
        onClose={making.close}
        onShow={showFinding}
      />
      {!isReadOnly && (
        <>
          <ConflictDialog editor={editor} isTakenOver={isTakenOver} onStop={onStop} onRegained={onRegained} />
          <LeaveGuard queue={editor.queue} />
        </>
      )}
    </>
  );
}

function GridKey({ editor, hasParent }: { readonly editor: DraftEditor; readonly hasParent: boolean }) {
  const { view, navigation, isReadOnly } = editor;
  const [low, high] = editor.extent;
  return (
    <div className={classes.key}>
      <KeyLine id={HELP_ID} isReadOnly={isReadOnly} />
      {navigation.search.shade !== 'change' && high > low && (
        <RampKey
          low={formatNumber(low, view.digits)}
          high={formatQuantity(high, view.unit, view.digits)}
          colourAt={sequentialColour}
        />
      )}
      {hasParent && (
        <span>
          <span className={classes.keyChanged} /> differs from the parent
        </span>
      )}
      <span>
        <span className={classes.keyBlocking} /> blocks
      </span>
      <span>
        <span className={classes.keyWarning} /> warning
      </span>
    </div>
  );
}
