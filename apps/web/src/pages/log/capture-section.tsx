import type { CaptureCheck, LogResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { vehicleQueries } from '../../api/vehicles.js';
import { CaptureCheckView } from '../../parts/capture-check.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { useDialectTitles } from '../../parts/use-dialect-titles.js';

interface CaptureSectionProps {
  readonly log: LogResponse;
  readonly check: CaptureCheck;
}

/** What a bus capture says of the dialect of its car. */
export function CaptureSection({ log, check }: CaptureSectionProps) {
  const vehicle = useQuery(vehicleQueries.one(log.vehicleId));
  const { titleOf } = useDialectTitles(vehicle.data?.platformId ?? '');
  return (
    <Section
      title={<HelpTerm term="dialect">Bus dialect by this capture</HelpTerm>}
      note={
        <>
          What follows from it for the car stands on the page of{' '}
          <TextLink to="/vehicles/$vehicleId" params={{ vehicleId: log.vehicleId }}>
            {log.vehicleTitle}
          </TextLink>
          .
        </>
      }
    >
      <CaptureCheckView check={check} titleOf={titleOf} />
    </Section>
  );
}
