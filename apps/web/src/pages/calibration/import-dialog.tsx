import { Modal } from '@mantine/core';
import { lazy, Suspense } from 'react';
import { BlockSkeleton } from '../../parts/skeletons.js';

/** Few come to a calibration with a file. */
const ImportForm = lazy(async () => ({ default: (await import('./import-form.js')).ImportForm }));

interface ImportDialogProps {
  readonly calibrationId: string;
  readonly platformId: string;
  /** Revision that the tables of a file with some tables only are laid over. */
  readonly parentId: string | undefined;
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** Makes a draft from a file. The server says what it understood, or each place that it did not. */
export function ImportDialog({ isOpen, onClose, ...choice }: ImportDialogProps) {
  return (
    <Modal
      opened={isOpen}
      onClose={onClose}
      title="Import a file"
      size="lg"
      closeButtonProps={{ 'aria-label': 'Close' }}
    >
      <Suspense fallback={<BlockSkeleton height={220} />}>
        <ImportForm {...choice} onClose={onClose} />
      </Suspense>
    </Modal>
  );
}
