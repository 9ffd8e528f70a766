/** What a caller may tell apart. The message names what was found, what was expected and where. */
export type StoreErrorCode =
  // what was asked for
  | 'not_found'
  | 'exists'
  | 'email_taken'
  | 'person_not_erasable'
  | 'units_held'
  | 'setup_done'
  | 'invitation_invalid'
  | 'reset_invalid'
  | 'parent_mismatch'
  | 'content_unchanged'
  | 'not_newest'
  | 'draft_closed'
  | 'draft_locked'
  | 'draft_outdated'
  | 'review_open'
  | 'review_closed'
  | 'review_other_content'
  | 'platform_mismatch'
  | 'bad_cursor'
  | 'lease_lost'
  | 'run_not_ready'
  | 'run_ended'
  | 'release_moved'
  | 'request_closed'
  | 'request_other_platform'
  | 'proposal_rejected'
  // bytes
  | 'too_large'
  | 'storage_full'
  | 'storage_read_only'
  | 'blob_missing'
  | 'blob_removed'
  | 'backup_unusable'
  | 'signal_file_missing'
  | 'signal_file_damaged'
  // opening
  | 'driver_missing'
  | 'folder_in_use'
  | 'folder_unsafe'
  | 'schema_missing'
  | 'schema_newer'
  | 'migration_order'
  | 'migration_edited'
  | 'migration_failed';

/** Thrown by the store for everything that a caller can answer; all else is a fault. */
export class StoreError extends Error {
  readonly code: StoreErrorCode;

  constructor(code: StoreErrorCode, message: string, options?: ErrorOptions) {
    super(message, options);
    this.name = 'StoreError';
    this.code = code;
  }
}
