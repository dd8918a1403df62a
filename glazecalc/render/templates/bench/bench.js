// Rooms work without this. With it the answer follows the typing, and the firing's clock runs.
(function () {
  "use strict";
  var form = document.querySelector("form[data-live]");
  if (form) {
    var wait = null, asked = 0, text = form.querySelector("textarea");
    text.addEventListener("input", function () {
      clearTimeout(wait);
      wait = setTimeout(function () {
        var turn = ++asked, sent = new URLSearchParams(new FormData(form));
        sent.set("do", "look");
        sent.delete("remember");
        fetch(form.getAttribute("action"), { method: "POST", body: sent }).then(function (r) { return r.text(); }).then(function (page) {
          if (turn !== asked) { return; }
          var fresh = new DOMParser().parseFromString(page, "text/html").getElementById("answer");
          var old = document.getElementById("answer");
          if (fresh && old && !old.contains(document.activeElement)) { old.replaceWith(document.importNode(fresh, true)); }
        }).catch(function () { return null; });
      }, 400);
    });
  }
  // Long work: asked after until it is over, then shown.
  var look = function () {
    var work = document.querySelector("[data-work]");
    if (!work) { return; }
    fetch(work.getAttribute("data-work")).then(function (r) { return r.text(); }).then(function (page) {
      var fresh = new DOMParser().parseFromString(page, "text/html").querySelector("[data-work]");
      if (!fresh) { location.reload(); return; }
      work.replaceWith(document.importNode(fresh, true));
      setTimeout(look, 700);
    }).catch(function () { setTimeout(look, 3000); });
  };
  setTimeout(look, 700);
  var clock = document.querySelector("[data-since]");
  if (clock) {
    var since = Date.parse(clock.getAttribute("data-since"));
    var show = function () {
      var minutes = Math.max(0, Math.floor((Date.now() - since) / 60000));
      clock.textContent = Math.floor(minutes / 60) + ":" + String(minutes % 60).padStart(2, "0");
    };
    show();
    setInterval(show, 10000);
  }
}());
