"""The one Django app: the shop's pages over its database."""

from django.apps import AppConfig


class ShopConfig(AppConfig):
    name = "floatbowl.shop"
    label = "shop"
    verbose_name = "Carburettor shop"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Forms speak our words, wherever they stand."""
        from floatbowl.shop.wording import use_our_words

        use_our_words()
