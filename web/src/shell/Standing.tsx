// What stands above the work until it is dealt with: notices, a file changed on disk, a program that is gone.
import { dismiss, notices } from "../api/notices";
import { connection, keepMine, state, takeTheirs } from "../api/store";

export function Standing() {
  return (
    <div class="standing" role="status" aria-live="polite">
      {connection.value === "gone" && (
        <p class="notice finding">The program does not answer. Start kerfwright page again and open the address it prints.</p>
      )}
      {state.value?.job?.changed_on_disk && (
        <p class="notice finding">
          The job file was changed by somebody else since the page read it. Nothing was overwritten.
          <button type="button" onClick={() => void takeTheirs()}>
            Take theirs
          </button>
          <button type="button" onClick={() => void keepMine()}>
            Keep mine
          </button>
        </p>
      )}
      {notices.value.map((notice) => (
        <p key={notice.id} class={`notice ${notice.tone}`}>
          {notice.text}
          <button type="button" onClick={() => dismiss(notice.id)}>
            Put away
          </button>
        </p>
      ))}
    </div>
  );
}

export function Locked() {
  return (
    <main class="locked">
      <h1>This page has no key</h1>
      <p>
        Open the address that <code>kerfwright page</code> printed in the terminal. Its part behind the # is the key, and it is
        made anew at every start.
      </p>
    </main>
  );
}
