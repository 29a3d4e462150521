"""The site map: each room under its prefix."""

from allauth.account import views as account
from allauth.mfa.base import views as second
from allauth.mfa.recovery_codes import views as recovery
from allauth.mfa.totp import views as app
from allauth.mfa.webauthn import views as passkeys
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import include, path
from django.views.decorators.http import require_http_methods, require_safe

from training.config import factors, faults, offline, signin


@login_not_required
@require_safe
def style(request: HttpRequest) -> HttpResponse:
    """Show every component on one page."""
    return render(request, "styleguide.html")


# Only the doors of allauth that this site uses: sign-up, addresses of mail and a reset by mail stay out.
account_urls = [
    path("login/", account.login, name="account_login"),
    path("logout/", account.logout, name="account_logout"),
    path("inactive/", account.account_inactive, name="account_inactive"),
    path("again/", account.reauthenticate, name="account_reauthenticate"),
    path("password/change/", account.password_change, name="account_change_password"),
    path("factor/", factors.index, name="mfa_index"),
    path("factor/code/", second.authenticate, name="mfa_authenticate"),
    path("factor/code/again/", second.reauthenticate, name="mfa_reauthenticate"),
    path("factor/app/", app.activate_totp, name="mfa_activate_totp"),
    path("factor/app/remove/", app.deactivate_totp, name="mfa_deactivate_totp"),
    path("factor/recovery/", recovery.view_recovery_codes, name="mfa_view_recovery_codes"),
    path("factor/recovery/new/", recovery.generate_recovery_codes, name="mfa_generate_recovery_codes"),
    path("passkeys/", passkeys.list_webauthn, name="mfa_list_webauthn"),
    path("passkeys/add/", passkeys.add_webauthn, name="mfa_add_webauthn"),
    path("passkeys/again/", passkeys.reauthenticate_webauthn, name="mfa_reauthenticate_webauthn"),
    path("passkeys/sign-in/", login_not_required(factors.sign_in_with_passkey), name="mfa_login_webauthn"),
    path("passkeys/<int:pk>/", passkeys.edit_webauthn, name="mfa_edit_webauthn"),
    path("passkeys/<int:pk>/remove/", factors.remove_passkey, name="mfa_remove_webauthn"),
    path("sessions/", signin.list_sessions, name="usersessions_list"),
]

# A form of a library takes a PUT for a POST; here a page has the methods of its row.
for route in account_urls:
    route.callback = require_http_methods(["GET", "HEAD", "POST"])(route.callback)

handler500 = faults.server_error

urlpatterns = [
    path("account/", include(account_urls)),
    path("style/", style, name="style"),
    path("offline/", offline.shell, name="offline"),
    path("waiting/", offline.waiting, name="waiting"),
    path("waiting/who/", offline.who, name="who"),
    path("manifest.webmanifest", offline.manifest, name="manifest"),
    path("sw.js", offline.worker, name="worker"),  # at the root: a worker serves its own folder
    path("", include("certs.records.urls")),
    path("people/rosters/", include("training.rosters.urls")),
    path("", include("training.keeping.urls")),  # health/, keeping/
    path("ledger/", include("certs.trail.urls")),
    path("held/", include("certs.retention.urls")),
    path("people/", include("training.people.urls")),
    path("procedures/", include("training.procedures.urls")),
    path("procedures/", include("training.bridges.urls")),
    path("amend/", include("training.amendments.urls")),
    path("papers/", include("training.quizzes.urls")),
    path("practice/", include("training.practice.urls")),
    path("refreshers/", include("training.refreshers.urls")),
    path("write/", include("training.drafts.urls")),
    path("try/", include("training.trials.urls")),
    path("questions/", include("training.analysis.urls")),
    path("panels/", include("training.panels.urls")),
    path("reviews/", include("training.reviews.urls")),
    path("schemes/", include("certs.schemes.urls")),
    path("invigilation/", include("certs.invigilation.urls")),
    path("signoffs/", include("certs.signoffs.urls")),
    path("agreement/", include("certs.agreement.urls")),
    path("photos/", include("certs.photos.urls")),
    path("portraits/", include("certs.portraits.urls")),
    path("worklog/", include("certs.worklog.urls")),
    path("credentials/", include("certs.credentials.urls")),
    path("", include("certs.exports.urls")),  # register.csv, register.xlsx, calendar/
    path("cards/", include("certs.cards.urls")),
    path("check/kept/", offline.check, name="check_kept"),
    path("check/", include("certs.checking.urls")),
    path("board/", include("certs.board.urls")),
    path("ahead/", include("certs.forecast.urls")),
    path("gate/", include("certs.gates.urls")),
    path("print/", include("certs.batches.urls")),
    path("jobs/", include("certs.jobs.urls")),
    path("crewing/", include("certs.crewing.urls")),
    path("visits/", include("certs.visits.urls")),
    path("complaints/", include("certs.complaints.urls")),
    path("gaps/", include("certs.gaps.urls")),
]
