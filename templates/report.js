(function () {
  "use strict";
  var player = document.getElementById("player");
  if (!player) return;
  player.addEventListener("error", function () {
    document.getElementById("player-missing").hidden = false;
  });
  document.addEventListener("click", function (event) {
    var link = event.target.closest("a[data-start]");
    if (!link || player.error || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    var last = document.querySelector("a[aria-current]");
    if (last) last.removeAttribute("aria-current");
    link.setAttribute("aria-current", "true");
    player.currentTime = Number(link.dataset.start);
    var started = player.play();
    if (started) started.catch(function () {});
  });
})();
