// Folded sections: a link into one opens it, paper shows all. Newer browsers do both by themselves.
"use strict";
(() => {
  const folds = [...document.querySelectorAll("details.fold:not(.unprinted)")];
  let closed = [];
  addEventListener("beforeprint", () => {
    closed = folds.filter((fold) => !fold.open);
    for (const fold of closed) fold.open = true;
  });
  addEventListener("afterprint", () => {
    for (const fold of closed) fold.open = false;
  });
  function open() {
    const fold = document.getElementById(location.hash.slice(1))?.closest("details");
    if (fold) fold.open = true;
  }
  addEventListener("hashchange", open);
  open();
})();
