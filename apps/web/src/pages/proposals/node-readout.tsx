import { Checkbox } from '@mantine/core';
import type { NodeProposal, ProposalPolicy } from '@syncline/contract';
import { formatChange, formatNumber, formatQuantity } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import type { NodeChoice } from './node-choice.js';
import { changePercent, correctionPercent, correctionRange, REASON_WORDS } from './proposal-words.js';
import classes from './proposals.module.css';

interface NodeReadoutProps {
  readonly node: NodeProposal;
  readonly where: string;
  readonly unit: string;
  readonly digits: number;
  readonly policy: ProposalPolicy;
  /** Left out where nothing can be taken. */
  readonly choice: NodeChoice | undefined;
}

/** The chosen node in plain words. */
export function NodeReadout({ node, where, unit, digits, policy, choice }: NodeReadoutProps) {
  const { presentValue, proposedValue, reasons } = node;
  const isLeft = node.change === 'leave';
  const now = formatQuantity(presentValue, unit, digits);
  return (
    <aside className={classes.readout} aria-label={`Chosen cell, ${where}`}>
      <h4>{where}</h4>
      <div className={classes.big}>{isLeft ? now : `${now} → ${formatQuantity(proposedValue, unit, digits)}`}</div>
      <div>
        {isLeft
          ? 'Left alone.'
          : `${node.change === 'raise' ? 'Raised' : 'Lowered'}, ${formatChange(changePercent(node), '%', 1)}.`}
      </div>
      <p>{evidenceSentence(node)}</p>
      <p>{correctionSentence(node)}</p>
      {reasons.map((reason) => (
        <p key={reason}>
          <strong>{REASON_WORDS[reason].letter}</strong> {REASON_WORDS[reason].sentence(policy)}
        </p>
      ))}
      {reasons.length === 0 && !isLeft && <p>The whole correction is made.</p>}
      {!isLeft && choice !== undefined && (
        <Checkbox
          size="sm"
          mt={8}
          label="Take this cell into the draft"
          checked={choice.isTaken(node)}
          onChange={(event) => choice.set([node], event.currentTarget.checked)}
        />
      )}
    </aside>
  );
}

function evidenceSentence({ shifts, vehicles, flareRate }: NodeProposal): string {
  if (shifts === 0) return 'No shift stands behind it.';
  const flares = flareRate === null ? '' : `; ${formatShare(flareRate)} of the shifts over it flared`;
  return `As much as ${formatNumber(shifts, 1)} shifts by ${formatNumber(vehicles, 1)} cars stand behind it${flares}.`;
}

function correctionSentence(node: NodeProposal): string {
  const range = correctionRange(node);
  if (range === null || node.shifts === 0) return 'What it should be, no drive tells.';
  const percent = correctionPercent(node);
  const wants = percent >= 0 ? 'higher' : 'lower';
  return (
    `The drives say it should be ${formatNumber(Math.abs(percent), 1)} % ${wants}: with 95 % probability between ` +
    `${formatChange(range[0], '%', 1)} and ${formatChange(range[1], '%', 1)}.`
  );
}
