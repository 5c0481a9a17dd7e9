// That there is something new. Browsers hold six connections to one place, so of all tabs one listens and
// tells the others; when it is closed, the next one takes over.

/**
 * Calls back for every news, and when the server is gone or back.
 * @param {() => void} hear
 * @param {(there: boolean) => void} notice
 */
export function listen(hear, notice) {
  const tabs = new BroadcastChannel("slipwright-news");
  tabs.addEventListener("message", (event) => {
    if (event.data === "news") hear();
    else notice(event.data === "there");
  });
  // The lock is held until the tab is closed.
  navigator.locks.request("slipwright-news", () => {
    const source = new EventSource("/news");
    /** @param {boolean} there */
    const tell = (there) => {
      tabs.postMessage(there ? "there" : "gone");
      notice(there);
    };
    source.addEventListener("message", () => {
      tabs.postMessage("news");
      hear();
    });
    source.addEventListener("open", () => tell(true));
    source.addEventListener("error", () => tell(false));
    return new Promise(() => {});
  });
}
