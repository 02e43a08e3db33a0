// How old the copy of a scoreboard is, where the server is not the one at the rink.

const SECOND = 1_000;
const SILENT = 60_000; // the rink says something every few seconds

/**
 * followAge calls on.age again and again with how old a copy is: { seconds } while its
 * rink is heard, { silent } with the time since when it is not. heard is to be called
 * with each BoardCopy that comes; stop ends it.
 */
export function followAge(on) {
  let copy, since, timer;
  const say = () => {
    const age = Math.max(0, Date.now() - since);
    on.age(age < SILENT ? { seconds: Math.round(age / SECOND) } : { silent: copy.heardTime });
  };
  return {
    heard(now) {
      // By the server's clock alone: this one may show another time.
      const before = new Date(now.now) - new Date(now.heardTime);
      copy = now;
      since = Date.now() - before;
      timer ??= setInterval(say, SECOND);
      say();
    },
    stop() {
      clearInterval(timer);
      timer = copy = undefined;
    },
  };
}
