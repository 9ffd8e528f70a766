import { PageHead } from '../../parts/page-head.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { ChooseTwo } from './choose-two.js';
import { Comparison } from './comparison.js';
import { pairLabels } from './pair-labels.js';
import { RevisionPicker } from './revision-picker.js';
import { useCalibrations } from './use-calibrations.js';
import { useCompareView } from './use-compare-view.js';
import { useOpenDrafts } from './use-open-drafts.js';

/** Any two revisions or drafts side by side: what came of them on the road, and where their maps differ. */
export function ComparePage() {
  const { search } = useCompareView();
  const { base, other } = search;
  const { calibrations, error, retry } = useCalibrations();
  const drafts = useOpenDrafts(calibrations);
  const revisions = calibrations?.flatMap((calibration) => calibration.revisions) ?? [];
  const labels = pairLabels([...revisions, ...drafts], base, other);
  return (
    <>
      <PageHead
        title={labels === undefined ? 'Compare' : `${labels.other} against ${labels.base}`}
        lead="What came of two revisions on the road, adjusted for different driving, and where their tables differ. A draft may stand on either side."
      />
      {error !== null && <ProblemNotice error={error} onRetry={retry} />}
      {(error === null || calibrations !== undefined) && <RevisionPicker calibrations={calibrations} drafts={drafts} />}
      {base !== undefined && other !== undefined && base !== other ? (
        <Comparison baseId={base} otherId={other} />
      ) : (
        calibrations && <ChooseTwo calibrations={calibrations} isSameTwice={base !== undefined && base === other} />
      )}
    </>
  );
}
