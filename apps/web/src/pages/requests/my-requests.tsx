import { Button } from '@mantine/core';
import type { DriveRequest, RequestCar } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { requestQueries, useAnswerRequest } from '../../api/requests.js';
import { counted, formatCount } from '../../format/quantity.js';
import { AskedDriveCaution } from '../../parts/caution.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { RequestStateMark } from '../../parts/state-mark.js';
import { ReasonButton } from './reason-button.js';
import { askWords, pointFigures, progressWords, whyWords } from './request-words.js';
import classes from './requests.module.css';

interface MyRequestsProps {
  /** Only those that wait for a drive. */
  readonly isOpenOnly: boolean;
}

/** What is asked of one's own cars, with the caution that goes with driving for it. */
export function MyRequests({ isOpenOnly }: MyRequestsProps) {
  const query = useQuery(requestQueries.list(isOpenOnly ? 'open' : undefined));
  const own = (query.data?.items ?? []).filter(({ cars }) => cars.some(({ isOwn }) => isOwn));
  return (
    <QueryView
      query={query}
      isEmpty={() => own.length === 0}
      empty="Nothing is asked of your cars now. Drive as you like: every drive tells something."
    >
      {() => (
        <>
          <AskedDriveCaution />
          <div className={classes.cards}>
            {own.map((request) => (
              <RequestCard key={request.id} request={request} />
            ))}
          </div>
        </>
      )}
    </QueryView>
  );
}

function RequestCard({ request }: { readonly request: DriveRequest }) {
  const title = askWords(request);
  return (
    <article className={classes.card} aria-label={title}>
      <h3 className={classes.title}>{title}</h3>
      <dl className={classes.facts}>
        <dt>That is</dt>
        <dd>
          {request.kind}, {pointFigures(request)}
          {request.revisionLabel !== null && `, under ${request.revisionLabel}`}
        </dd>
        <dt>Why</dt>
        <dd>{whyWords(request.reason)}</dd>
        <dt>Came in</dt>
        <dd>{progressWords(request)}</dd>
        <dt>State</dt>
        <dd>
          <RequestStateMark state={request.state} /> {request.closingNote}
        </dd>
        <dt>{request.closedAt === null ? 'Open until' : 'Ended'}</dt>
        <dd>
          <Instant at={request.closedAt ?? request.expiresAt} precision="day" />
        </dd>
      </dl>
      {request.cars
        .filter(({ isOwn }) => isOwn)
        .map((car) => (
          <OwnCar key={car.vehicleId} request={request} car={car} />
        ))}
    </article>
  );
}

function OwnCar({ request, car }: { readonly request: DriveRequest; readonly car: RequestCar }) {
  const answer = useAnswerRequest(request.id);
  const { vehicleId, title, state, shifts, reason } = car;
  const share = `${formatCount(shifts)} of ${counted(request.shiftsPerCar, 'shift')}`;
  return (
    <div className={classes.own}>
      <span>
        {title}: {state === 'met' ? `done, ${share}. Thank you` : share}
        {state === 'declined' && `; declined${reason === '' ? '' : ` (“${reason}”)`}`}
      </span>
      {request.state === 'open' && state === 'asked' && (
        <ReasonButton
          label="Why it cannot be driven (optional, helps to ask better)"
          isPending={answer.isPending}
          error={answer.error}
          onConfirm={(why, done) => answer.mutate({ vehicleId, answer: 'decline', reason: why }, { onSuccess: done })}
        >
          Decline
        </ReasonButton>
      )}
      {request.state === 'open' && state === 'declined' && (
        <>
          <Button
            size="compact-sm"
            variant="default"
            loading={answer.isPending}
            onClick={() => answer.mutate({ vehicleId, answer: 'accept' })}
          >
            I can drive it after all
          </Button>
          {answer.error !== null && <ProblemNotice error={answer.error} />}
        </>
      )}
    </div>
  );
}
