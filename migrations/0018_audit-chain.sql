-- Written by hand: drizzle-kit does not know triggers. An entry from before the chain takes its hash once, when the store opens.
DROP TRIGGER `audit_no_update`;
--> statement-breakpoint
CREATE TRIGGER `audit_no_update` BEFORE UPDATE OF
  `id`, `at_ms`, `actor_kind`, `actor_id`, `actor_name`, `action`, `target`, `detail`, `request_id`, `before`, `after`
ON `audit`
BEGIN
  SELECT RAISE(ABORT, 'An audit entry is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `audit_no_new_hash` BEFORE UPDATE OF `hash` ON `audit` WHEN OLD.`hash` <> ''
BEGIN
  SELECT RAISE(ABORT, 'An audit entry is never changed');
END;
--> statement-breakpoint
UPDATE `sessions` SET `id` = lower(hex(randomblob(16)));
