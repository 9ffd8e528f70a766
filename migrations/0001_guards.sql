-- Written by hand: drizzle-kit does not know triggers. What is made once stays as it is, whoever asks.
CREATE TRIGGER `audit_no_update` BEFORE UPDATE ON `audit`
BEGIN
  SELECT RAISE(ABORT, 'An audit entry is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `audit_no_delete` BEFORE DELETE ON `audit`
BEGIN
  SELECT RAISE(ABORT, 'An audit entry is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `contents_no_update` BEFORE UPDATE ON `contents`
BEGIN
  SELECT RAISE(ABORT, 'The content of a revision is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `contents_no_delete` BEFORE DELETE ON `contents`
BEGIN
  SELECT RAISE(ABORT, 'The content of a revision is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `revisions_no_update` BEFORE UPDATE ON `revisions`
BEGIN
  SELECT RAISE(ABORT, 'A revision is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `revisions_no_delete` BEFORE DELETE ON `revisions`
BEGIN
  SELECT RAISE(ABORT, 'A revision is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `layouts_no_update` BEFORE UPDATE ON `layouts`
BEGIN
  SELECT RAISE(ABORT, 'A layout is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `layouts_no_delete` BEFORE DELETE ON `layouts`
BEGIN
  SELECT RAISE(ABORT, 'A layout is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `policies_no_update` BEFORE UPDATE ON `policies`
BEGIN
  SELECT RAISE(ABORT, 'A grading policy is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `policies_no_delete` BEFORE DELETE ON `policies`
BEGIN
  SELECT RAISE(ABORT, 'A grading policy is never removed');
END;
