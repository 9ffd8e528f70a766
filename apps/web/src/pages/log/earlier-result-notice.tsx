import type { LogResponse } from '@syncline/contract';
import { LOG_STATE_WORDS } from '../../format/words.js';
import { Caution } from '../../parts/caution.js';

interface EarlierResultNoticeProps {
  readonly log: Pick<LogResponse, 'state' | 'showsEarlier' | 'analysisVersion' | 'policyVersion'>;
}

/** Says that what is shown is the result of an analysis before: the newest is under way, waits, or came to nothing. */
export function EarlierResultNotice({ log }: EarlierResultNoticeProps) {
  if (!log.showsEarlier) return null;
  const { state, analysisVersion, policyVersion } = log;
  return (
    <div style={{ marginBottom: 16 }}>
      <Caution title={state === 'failed' ? 'The newest analysis of this drive failed' : 'This drive is analysed again'}>
        Its state is: {LOG_STATE_WORDS[state].toLowerCase()}. What you see is from the analysis before (version{' '}
        {analysisVersion}, grading policy {policyVersion}); its shifts are kept and still count.
      </Caution>
    </div>
  );
}
