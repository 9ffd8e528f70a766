import { Title } from '@mantine/core';
import type { ReportedShift, ReportResponse } from '@syncline/contract';
import { type PictureLine, ShiftPicture } from '../../charts/shift-picture.js';
import { gearWord } from '../../format/gear-words.js';
import { GradeMarks } from '../../parts/grade-mark.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { momentsOf, phasesOf } from '../log/shift-phases.js';
import classes from './report.module.css';
import { conditionWords, shiftStory, shiftTitle } from './shift-words.js';

/** The shifts that departed most, each with its picture and its story. */
export function WorstSection({ report: { worst, log } }: { readonly report: ReportResponse }) {
  if (worst.length === 0) return null;
  const isAnyBeyond = worst.some(({ isBeyond }) => isBeyond);
  return (
    <Section
      title={isAnyBeyond ? 'The worst shifts' : 'The shifts nearest to a limit'}
      note="First those that never reached the new gear, then by how many times a measure is the limit that the grading policy sets for the program and load; three at most. In the pictures the input speed should follow the line of the old gear to the line of the new. Vertical lines: dotted, command; dashed, inertia phase begins; solid, new gear reached."
    >
      <ol className={classes.worst}>
        {worst.map((reported) => (
          <li key={reported.shift.id}>
            <Title order={3}>
              <TextLink to="/logs/$logId" params={{ logId: log.id }} search={{ shift: reported.shift.id }}>
                {shiftTitle(reported.shift)}
              </TextLink>{' '}
              <GradeMarks grades={reported.shift.grades} />
            </Title>
            <p className={classes.story}>{shiftStory(reported)}</p>
            <p className={classes.small}>{conditionWords(reported.shift)}</p>
            <Picture reported={reported} />
          </li>
        ))}
      </ol>
    </Section>
  );
}

function Picture({ reported }: { readonly reported: ReportedShift }) {
  const { shift, picture } = reported;
  if (picture === null)
    return <p className={classes.small}>The signals of this shift are no longer there to be drawn.</p>;
  const lines: PictureLine[] = [
    line('from', `Line of ${gearWord(shift.from)} gear`, '--series-4', picture.fromLineRpm, '8 4'),
    line('to', `Line of ${gearWord(shift.to)} gear`, '--series-4', picture.toLineRpm, '2 3'),
    { ...line('input', 'Input speed', '--series-1', picture.inputRpm), strokeWidth: 2 },
  ];
  return (
    <ShiftPicture
      label={`Input speed between the lines of ${gearWord(shift.from)} and ${gearWord(shift.to)} gear, seconds from the command. ${shiftStory(reported)}`}
      timeS={picture.timeS}
      fromS={picture.fromS}
      toS={picture.toS}
      zeroS={shift.commandS}
      unit="rpm"
      lines={lines}
      phases={phasesOf(shift)}
      moments={momentsOf(shift)}
    />
  );
}

function line(
  id: string,
  title: string,
  colour: string,
  values: readonly (number | null)[],
  dash?: string,
): PictureLine {
  return { id, title, colour, values, ...(dash === undefined ? {} : { dash }) };
}
